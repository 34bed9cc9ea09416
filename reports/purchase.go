package reports

import (
	"fmt"
	"io"
	"strings"
	"time"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// PurchaseInput is what the purchase report is made of: the same input gives the same bytes.
type PurchaseInput struct {
	Purchase measures.Purchase
	Settings PurchaseSettings
	Team     string // stands in the title; empty: "Transport team"
	Notice   string // the team's words on confidentiality; empty: DefaultNotice

	Ledger       []LedgerLine
	Inputs       []InputFile
	SettingsHash string // SHA-256 of the settings in force, hex
	Version      string // of the program
	Paper        string // "A4" or "Letter"; empty: that of the reader's printer
	// Interactive has charts answer to a pointer on a screen, by one script that the policy of the page names.
	Interactive bool
	GeneratedAt time.Time // that of the last load, printed in UTC
}

// PurchaseSettings are the settings that the text of the report names.
type PurchaseSettings struct {
	Turnaround    time.Duration // from a transport until its devices can go out again
	BatteryShare  string        // "80 %" of the rating, above which a battery is overdrawn
	OxygenReserve string        // "30 min"
}

// purchasePage is the report as its templates take it.
type purchasePage struct {
	Shell                    shell
	Team, Span, Need, Notice string
	Blocks                   []purchaseBlock
	Candidates               []purchaseDetail
	Needs                    []table
	Figures                  []figure
	Supplies, Failures       table
	Reliability              table
	Assumptions, Silent      []string
	Quality                  []table
	Run, Inputs              table
	Empty                    bool // no transport is stored
	Contents                 []link
}

// Purchase writes the purchase report: one HTML file without script or outside reference. Where it fails nothing is written.
func Purchase(w io.Writer, in PurchaseInput) error {
	if strings.TrimSpace(in.Team) == "" {
		in.Team = defaultTeam
	}
	if strings.TrimSpace(in.Notice) == "" {
		in.Notice = DefaultNotice
	}
	b := &buyer{of: in.Purchase}
	page, err := composePurchase(in, b)
	if err != nil {
		return fmt.Errorf("purchase report: %w", err)
	}
	return render(w, "purchase", "purchase", page, b.renderer)
}

// buyer draws the charts of one purchase report and knows what money is called.
type buyer struct {
	renderer *charts.Renderer
	of       measures.Purchase
}

func composePurchase(in PurchaseInput, b *buyer) (page purchasePage, err error) {
	p := in.Purchase
	page = purchasePage{Team: in.Team, Notice: in.Notice, Empty: p.Span.First == ""}
	if page.Shell, err = newShell(in.Team+": what a purchase would have changed", in.Paper, in.Interactive); err != nil {
		return page, err
	}
	page.Run, page.Inputs = purchaseRun(in)
	if ledger := ledgerTable(in.Ledger); len(ledger.Rows) > 0 {
		page.Quality = append(page.Quality, ledger)
	}
	page.Assumptions, page.Silent = assumptions(in.Settings), silent
	if page.Empty {
		return page, nil
	}
	page.Span = upperWords(p.Span.Words())
	page.Need = needSentence(p, in.Settings)
	if b.renderer, err = charts.NewRenderer(); err != nil {
		return page, err
	}
	if in.Interactive {
		b.renderer.Enliven()
	}
	for i, a := range p.Answers {
		page.Blocks = append(page.Blocks, b.block(i, a))
		detail, err := b.detail(i, a)
		if err != nil {
			return page, fmt.Errorf("candidate %q: %w", a.Candidate.Name, err)
		}
		page.Candidates = append(page.Candidates, detail)
	}
	page.Needs = needTables(p)
	page.Reliability, page.Supplies, page.Failures = reliabilityTable(p), suppliesTable(p), failuresTable(p)
	page.Contents = purchaseContents(page.Candidates)
	return page, nil
}

func purchaseContents(candidates []purchaseDetail) []link {
	links := []link{{"summary", "On one page"}}
	for _, c := range candidates {
		links = append(links, link{c.ID, c.Name})
	}
	return append(links, link{"need", "The need as it was"}, link{"method", "How this was worked out"})
}

func purchaseRun(in PurchaseInput) (run, inputs table) {
	run = table{Caption: "This run", Class: "hashes", Head: columns("", "Value")}
	run.add("", "Program version", orDash(in.Version))
	run.add("", "Settings, SHA-256", orDash(in.SettingsHash))
	run.add("", "Written at", in.GeneratedAt.UTC().Format(time.DateOnly+" 15:04")+" UTC")
	inputs = table{Caption: "Files that the records came from", Class: "hashes inputs", Head: columns("File", "SHA-256")}
	for _, file := range in.Inputs {
		inputs.add("", file.Name, file.SHA256)
	}
	return run, inputs
}

func upperWords(text string) string { return capital(text) }

// silent is what the data of any team cannot say.
var silent = []string{
	"Requests that were never made, because callers knew that nothing was free, stand in no record: the need may be larger.",
	"A request declined for want of equipment does not say which device was wanting. Here it counts as a request for each kind.",
	"What it cost to lend, hire or wait for a device that was not free is not recorded, nor whether a loan left the other team short.",
	"A device is of use only with a crew and a vehicle. Neither is replayed: more devices serve no request that had no team.",
	"Harm from a shortfall is not told here: whether a patient came to harm stands in the committee's report.",
	"The future: the replay looks back. Another volume, other distances or other patients give other numbers.",
}

func assumptions(s PurchaseSettings) []string {
	return []string{
		fmt.Sprintf("Devices: the same requests in the same order. Accepted ones that took such a device hold one unit from acceptance (else the call) to ready again plus %.0f min to "+
			"make ready; those declined for want of equipment hold one for the median length, as do those whose end is not known. A request that finds no unit free is lost; it does not wait, "+
			"and nothing is lent from elsewhere. Any unit serves any request of the pool.", s.Turnaround.Minutes()),
		"As it was: units out of service by the service records are not there, those not yet in service by the register neither. Always there: every unit at all times. A device belongs to " +
			"the team that it mostly went out with.",
		"Erlang B: the chance of finding none free with Poisson arrivals, the same number of requests and mean hold, and units always there (Erlang AK 1917). k of n: the chance that at least " +
			"so many are up, each with the same availability and independent of the others; availability = time between failures / (that + time to repair).",
		"Battery: minutes on battery while under way, screen lit and dimmed, held against the endurance; above " + s.BatteryShare + " of it is a shortfall. Before: the rated endurance of the device used.",
		"Cylinders: litres taken from carried cylinders, held against the full set; less than " + s.OxygenReserve + " left at the last demand, or nothing left, is a shortfall. Before: what was left in the " +
			"cylinders that were carried.",
		"Intervals: 95 %, bootstrap over weeks (2000 draws, weeks of seven days from the first day, fixed seed): what lies together in a week stays together. Failures: exact Poisson; time " +
			"between failures: chi-square (NIST/SEMATECH e-Handbook 8.4.5.1).",
		"Cost: number bought × (price / life + yearly service), over the shortfalls avoided per year. No interest, no disposal, no training. The sensitivity moves one assumption at a time by a quarter.",
		"The records speak for a candidate where the whole interval of what it would have avoided lies above none, against it where it would have avoided none; else they do not decide. " +
			"Whether the price is worth it is not for this report to say.",
	}
}
