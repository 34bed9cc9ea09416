package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

// rendering is how a report leaves the program.
type rendering struct {
	format      string // html or pdf
	interactive bool   // charts answer to a pointer
}

func (r *rendering) addFlags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&r.format, "format", "html", "html, or pdf: printed by a browser of this machine (settings browser and paper)")
	cmd.Flags().BoolVar(&r.interactive, "interactive", false, "charts answer to a pointer on a screen, by a script in the page; it prints as it would without")
}

// check finds wrong use, and a browser that is not there, before a report is worked out for it.
func (a *app) check(r rendering) error {
	if !slices.Contains([]string{"html", "pdf"}, r.format) {
		return usage(fmt.Errorf("--format %q: expected html or pdf", r.format))
	}
	if r.interactive && r.format == "pdf" {
		return usage(errors.New("--interactive: a PDF holds no script; leave one of the two flags away"))
	}
	if r.format == "pdf" {
		_, err := a.browser()
		return err
	}
	return nil
}

// paper is the sheet for which a report is laid out: that of the settings in a PDF, that of the reader's printer in a page.
func (a *app) paper(r rendering) string {
	if r.format == "pdf" {
		return a.settings.paper
	}
	return ""
}

// writeReport writes a finished page as asked and gives the path. A PDF bears the moment of the last load, as the page does.
func (a *app) writeReport(ctx context.Context, base string, page []byte, at time.Time, r rendering) (string, error) {
	if r.format != "pdf" {
		return base + ".html", writeOwn(base+".html", page)
	}
	printed, err := a.print(ctx, filepath.Dir(base), page)
	if err != nil {
		return "", fmt.Errorf("%s.pdf: %w", base, err)
	}
	return base + ".pdf", writeOwn(base+".pdf", dated(printed, at))
}

// browsers are the names under which a browser that prints PDF is usually found.
var browsers = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "microsoft-edge", "msedge",
	"/Applications/Google Chrome.app/Contents/MacOS/Google Chrome", "/Applications/Chromium.app/Contents/MacOS/Chromium",
	"/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
	`C:\Program Files\Google\Chrome\Application\chrome.exe`, `C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe`}

// browser finds the program that prints.
func (a *app) browser() (string, error) {
	if named := a.settings.browser; named != "" {
		path, err := exec.LookPath(named)
		if err != nil {
			return "", fmt.Errorf("setting browser: %q is no program that can be started; --format html prints from any browser", named)
		}
		return filepath.Abs(path)
	}
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			return filepath.Abs(path)
		}
	}
	return "", fmt.Errorf("no browser that prints PDF was found: looked for %s on the path; name one with the setting browser, or leave --format pdf away: "+
		"the HTML report prints from any browser", strings.Join(browsers[:7], ", "))
}

// printTimeout is far more than the largest report takes.
const printTimeout = 5 * time.Minute

// print has the browser print a page, in a folder of its own that is removed whatever happens: it holds page, profile and PDF.
// The folder lies beside the report, since packaged browsers cannot read everywhere.
func (a *app) print(ctx context.Context, out string, page []byte) (pdf []byte, err error) {
	program, err := a.browser()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(out, 0o700); err != nil {
		return nil, err
	}
	folder, err := os.MkdirTemp(out, ".tripwake-print-*")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, removeSoon(folder)) }()
	if folder, err = filepath.Abs(folder); err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(folder, "report.html"), page, 0o600); err != nil {
		return nil, err
	}
	if err := startBrowserOn(ctx, program, folder); err != nil {
		return nil, err
	}
	pdf, err = os.ReadFile(filepath.Join(folder, "report.pdf"))
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(pdf), []byte("%%EOF")) {
		return nil, fmt.Errorf("%s printed no whole PDF; --format html prints from any browser", program)
	}
	return pdf, nil
}

// removeSoon removes a folder into which the last processes of a browser may still write for a moment.
func removeSoon(folder string) (err error) {
	for range 20 {
		if err = os.RemoveAll(folder); err == nil {
			return nil
		}
		time.Sleep(100 * time.Millisecond)
	}
	return err
}

// startBrowserOn prints report.html of the folder to report.pdf. The page's own policy lets it fetch nothing; the flags keep the
// browser itself from asking the network.
func startBrowserOn(ctx context.Context, program, folder string) error {
	ctx, stop := context.WithTimeout(ctx, printTimeout)
	defer stop()
	page := url.URL{Scheme: "file", Path: filepath.ToSlash(filepath.Join(folder, "report.html"))}
	args := []string{"--headless", "--disable-gpu", "--disable-quic", "--no-first-run", "--no-default-browser-check", "--no-pings",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-default-apps", "--disable-extensions",
		"--host-resolver-rules=MAP * ~NOTFOUND", "--disable-dev-shm-usage", "--user-data-dir=" + filepath.Join(folder, "profile"),
		"--no-pdf-header-footer", "--print-to-pdf=" + filepath.Join(folder, "report.pdf")}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // else it refuses to run as root; what it shows is our own page alone
	}
	cmd := exec.CommandContext(ctx, program, append(args, page.String())...)
	cmd.Dir, cmd.WaitDelay = folder, 10*time.Second
	cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+folder, "XDG_CACHE_HOME="+folder)
	told, err := cmd.CombinedOutput()
	switch {
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		return fmt.Errorf("%s did not print within %v; --format html prints from any browser", program, printTimeout)
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return fmt.Errorf("%s could not print: %w: %.300s", program, err, lastOf(told))
	}
	return nil
}

// lastOf is the last line that a program told.
func lastOf(told []byte) string {
	lines := strings.Split(strings.TrimSpace(string(told)), "\n")
	return lines[len(lines)-1]
}

// printedDate is a date at the head of a PDF, as browsers write it.
var printedDate = regexp.MustCompile(`/(CreationDate|ModDate) \(D:\d{14}\+00'00'\)`)

// dated gives a PDF the moment of the last load instead of that of printing, letter for letter, so that no place in the file moves:
// the same records and settings give the same bytes from the same browser.
func dated(pdf []byte, at time.Time) []byte {
	return printedDate.ReplaceAll(pdf, []byte("/$1 (D:"+at.UTC().Format("20060102150405")+"+00'00')"))
}
