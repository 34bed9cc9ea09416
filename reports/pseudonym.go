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

// Pseudonym is how reports made with a key call a transport, for other answers that must call it the same.
func Pseudonym(key []byte, transportID string) string { return pseudonym(key, transportID) }
