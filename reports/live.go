package reports

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"

	"tripwake/reports/charts"
)

// hashOf names a style sheet or a script in a policy, by its exact bytes.
func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// howToPoint stands on a screen only, and only where script runs.
const howToPoint = `<p class="fine hint">Point at a chart for its numbers. Drag across a chart over time to see a part of it, double-click to see all of it again. ` +
	`Paper gets the charts as they stand.</p>`

// enliven puts the charts' data and the one script that the policy names at the end of a document; without charts there is none.
func enliven(document []byte, r *charts.Renderer) ([]byte, error) {
	data, err := r.Live()
	if err != nil || data == nil {
		return document, err
	}
	script, err := charts.LiveScript()
	if err != nil {
		return nil, err
	}
	at := bytes.LastIndex(document, []byte("</body>"))
	if main := bytes.Index(document, []byte("<main>")); main >= 0 && main < at {
		main += len("<main>")
		document = bytes.Join([][]byte{document[:main], []byte("\n" + howToPoint), document[main:]}, nil)
		at = bytes.LastIndex(document, []byte("</body>"))
	}
	var out bytes.Buffer
	out.Write(document[:at])
	out.WriteString(`<script type="application/json" id="charts-data">`)
	out.Write(data)
	out.WriteString("</script>\n<script>" + script + "</script>\n")
	out.Write(document[at:])
	return out.Bytes(), nil
}
