package reports

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
)

// pseudonym names a transport without telling which: the first 8 letters, base32, of HMAC-SHA256 under the team's key. The
// same transport has the same name in every report made with the same key; without the key it cannot be found by trying ids.
func pseudonym(key []byte, transportID string) string {
	mac := hmac.New(sha256.New, key)
	mac.Write([]byte(transportID))
	return base32.StdEncoding.EncodeToString(mac.Sum(nil))[:8]
}
