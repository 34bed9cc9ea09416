package invent

import (
	"fmt"
	"time"
)

// base is where teams wait; each has kits of its own and writes its sheets in its own dialect.
type base struct{ name string }

// site is a referring hospital. pace stretches the stabilization there; Story's slow site has a drift on top.
type site struct {
	name   string
	base   int
	km     float64
	weight float64
	pace   float64
}

// kit is what goes out together: a ventilator, a monitor, an incubator and a pump, all of one number.
type kit struct {
	base                                 int
	ventilator, monitor, incubator, pump *device
}

// device is one row of the register, with the habits of its log: named says that its rows bear transport ids, clock how
// far it runs ahead. Endurance is in minutes, cost in the configured currency.
type device struct {
	id, kind        string
	cost            float64
	endurance       float64
	enduranceDimmed float64
	inService       string
	retired         string
	named           bool
	clock           time.Duration
}

// outage is one row of the service table; month and day count from the first month (1) and the first day (1).
type outage struct {
	device             string
	fromMonth, fromDay int
	days               float64
	reason             string
	cost               float64
}

// Positions in the roster that the story speaks of.
const (
	slowSite   = "Pellastre District"
	leakyKit   = 2
	tiredKit   = 4
	closedBase = 1
	poorBase   = 2
)

var bases = []base{{"Fenquill"}, {"Stellorin"}, {"Umberlock"}}

var sites = []site{
	{"Tarrowick General", 0, 28, 1.2, 0.97},
	{"Quenspur Cottage", 0, 52, 1.1, 1.00},
	{"Brackolm County", 0, 96, 0.9, 0.95},
	{"Ostrelow Memorial", 0, 150, 0.7, 1.03},
	{"Harnspoke General", 1, 24, 1.2, 0.94},
	{slowSite, 1, 47, 1.5, 1.35},
	{"Dunmarrek Valley", 1, 110, 0.7, 0.98},
	{"Cinderquay Harbour", 1, 215, 0.5, 1.02},
	{"Vélorne Saint-Aubrel", 2, 33, 1.0, 0.96},
	{"Zwillmère Côtière", 2, 68, 0.9, 1.00},
	{"Luskenfold Crossing", 2, 165, 0.6, 0.97},
	{"Yorvesse Île-Haute", 2, 320, 0.4, 1.04},
}

var receiving = []share[string]{{"Quorlin Children's", 0.62}, {"Aldermoth Regional", 0.38}}

// outages: the register's own story. Kit 3's ventilator leaves in month 12 for the regulator that leaked; its neighbour is
// recalled in the same weeks, so that one base has none.
var outages = []outage{
	{"V1", 3, 18, 2, "preventive", 640},
	{"V2", 5, 6, 3.5, "failure", 1850},
	{"M2", 7, 11, 4, "failure", 920},
	{"V4", 9, 9, 2, "preventive", 640},
	{"V3", 12, 3, 24, "failure", 2140},
	{"V4", 12, 5, 21, "recall", 0},
	{"V1", 15, 16, 2, "preventive", 640},
	{"V5", 16, 20, 1.5, "failure", 410},
	{"I3", 16, 2, 6, "other", 300},
}

// devices invents the register of one region; suffix tells regions apart and is empty for the first.
func devices(suffix string) []device {
	var all []device
	for n := 1; n <= 5; n++ {
		even := n%2 == 0
		endurance, dimmed := 240.0, 300.0
		if n-1 == tiredKit {
			endurance, dimmed = 120, 150
		}
		all = append(all,
			device{id: fmt.Sprintf("V%d%s", n, suffix), kind: "ventilator", cost: 38500 + 900*float64(n), endurance: endurance,
				enduranceDimmed: dimmed, inService: fmt.Sprintf("202%d-03-1%d", n%3+1, n), named: !even},
			device{id: fmt.Sprintf("M%d%s", n, suffix), kind: "monitor", cost: 17200, endurance: 300,
				inService: fmt.Sprintf("2022-0%d-02", n), named: even},
			device{id: fmt.Sprintf("I%d%s", n, suffix), kind: "incubator", cost: 61000, endurance: 180, inService: "2021-09-01"},
			device{id: fmt.Sprintf("P%d%s", n, suffix), kind: "pump", cost: 3100, endurance: 480, inService: "2023-01-09"})
	}
	all[5].clock = 9 * time.Minute // M2: nobody set its clock
	return append(all,
		device{id: "M6" + suffix, kind: "monitor", cost: 17200, endurance: 300, inService: "2024-02-12"}, // the spare, which no kit needs
		device{id: "N1" + suffix, kind: "nitric_oxide_delivery", cost: 54000, endurance: 360, inService: "2023-05-22"},
		device{id: "V0" + suffix, kind: "ventilator", cost: 29900, endurance: 120, inService: "2014-02-03", retired: "2024-11-30"})
}

// kits groups the register: two at the first base, two at the second, one at the third.
func kits(all []device) []kit {
	var out []kit
	for n, at := range []int{0, 0, 1, 1, 2} {
		out = append(out, kit{at, &all[4*n], &all[4*n+1], &all[4*n+2], &all[4*n+3]})
	}
	return out
}
