package reports

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"tripwake/reports/charts"
)

// The only script of a lively page is the one that the policy names; the charts' data are JSON in which no name can end its element;
// without charts, or without asking, there is no script.
func TestEnliven(t *testing.T) {
	sh, err := newShell("Title", "", true)
	if err != nil {
		t.Fatal(err)
	}
	r, err := charts.NewRenderer()
	if err != nil {
		t.Fatal(err)
	}
	const page = "<body><main><p>words</p></main></body>"
	if plain, err := enliven([]byte(page), r); err != nil || string(plain) != page {
		t.Errorf("a renderer that keeps nothing: %q, %v", plain, err)
	}
	r.Enliven()
	const name = `</script><script>alert(1)</script>{b}`
	if _, err := r.Bars(charts.Bars{Rows: []charts.Bar{{Label: name, First: 3}}, Frame: charts.Frame{ID: "one", Title: "One", Desc: "A bar"}}); err != nil {
		t.Fatal(err)
	}
	text, err := enliven([]byte(page), r)
	if err != nil {
		t.Fatal(err)
	}
	scripts := regexp.MustCompile(`(?s)<script([^>]*)>(.*?)</script>`).FindAllSubmatch(text, -1)
	if len(scripts) != 2 || bytes.Count(text, []byte("<script")) != 2 {
		t.Fatalf("%d script elements", len(scripts))
	}
	var data map[string]any
	if err := json.Unmarshal(scripts[0][2], &data); err != nil || data["one"] == nil {
		t.Errorf("data: %v, %v", data, err)
	}
	sum := sha256.Sum256(scripts[1][2])
	if want := "script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.HasSuffix(sh.Policy, want) || strings.Contains(sh.Policy, "unsafe") {
		t.Errorf("policy %q, want it to end in %q", sh.Policy, want)
	}
	if !bytes.Contains(scripts[1][2], []byte("Apache License")) {
		t.Error("the script bears no licence")
	}
	if still, err := newShell("Title", "", false); err != nil || strings.Contains(still.Policy, "script") {
		t.Errorf("policy of a page without script: %q, %v", still.Policy, err)
	}
}

// The sheet of a PDF stands in the style sheet that the policy names.
func TestPaper(t *testing.T) {
	for paper, has := range map[string]bool{"": false, "Letter": true} {
		sh, err := newShell("Title", paper, false)
		if err != nil {
			t.Fatal(err)
		}
		css := strings.TrimSuffix(strings.TrimPrefix(string(sh.Style), "<style>"), "</style>")
		if strings.Contains(css, "@page { size: Letter; }") != has || !strings.Contains(sh.Policy, hashOf(css)) {
			t.Errorf("%q: policy %q", paper, sh.Policy)
		}
	}
}
