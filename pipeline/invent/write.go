package invent

import (
	"context"
	"fmt"
	"time"
)

// Options says how much to invent. The zero value is the default of every field.
type Options struct {
	Transports int           // requests, 1080 by default: 18 months of about 60; 1 and more
	Every      time.Duration // between two samples of a trend log, 10 s by default; 1 s and more, whole seconds
	Seed       uint64        // the same seed gives the same bytes
	TimeZone   string        // IANA name, America/Chicago by default
	First      string        // first month, 2025-01 by default
	Shaped     bool          // some exports under names and in shapes of other programs, with a layout beside them
	Months     int           // 18 by default, 1 to 1200; a region is full after about 60 requests a month, then another begins
}

// MostMonths is the longest record that is invented.
const MostMonths = 1200

// DemoEvery keeps the exports of the default number of transports under 150 MB.
const DemoEvery = 30 * time.Second

// Summary is what Write left behind: file names, sorted, and rows (headers not counted) per table.
type Summary struct {
	Files []string
	Rows  map[string]int
}

// Write invents records and writes them as CSV files into dir, which it makes (mode 0700; files 0600). It refuses a folder
// that holds anything but what it wrote before, and options out of range; it stops between two transports when ctx ends and
// leaves what is written so far, which a later call replaces. Memory does not grow with the number of readings.
func Write(ctx context.Context, dir string, o Options) (Summary, error) {
	o = o.withDefaults()
	first, err := o.check()
	if err != nil {
		return Summary{}, err
	}
	out, err := openFolder(dir, first.Location())
	if err != nil {
		return Summary{}, err
	}
	if o.Shaped {
		out.zone = o.TimeZone
	}
	if err := o.run(ctx, out, first); err != nil {
		out.fail(err)
	}
	return out.close()
}

func (o Options) withDefaults() Options {
	if o.Transports == 0 {
		o.Transports = 1080
	}
	if o.Every == 0 {
		o.Every = 10 * time.Second
	}
	if o.TimeZone == "" {
		o.TimeZone = "America/Chicago"
	}
	if o.First == "" {
		o.First = "2025-01"
	}
	if o.Months == 0 {
		o.Months = 18
	}
	return o
}

// check returns the start of the first month in the team's zone.
func (o Options) check() (time.Time, error) {
	switch {
	case o.Transports < 0:
		return time.Time{}, fmt.Errorf("transports: expected 1 or more, got %d", o.Transports)
	case o.Every < time.Second || o.Every%time.Second != 0:
		return time.Time{}, fmt.Errorf("every: expected whole seconds, 1s or more, got %s", o.Every)
	case o.Months < 1 || o.Months > MostMonths:
		return time.Time{}, fmt.Errorf("months: expected 1 to %d, got %d", MostMonths, o.Months)
	}
	place, err := time.LoadLocation(o.TimeZone)
	if err != nil || o.TimeZone == "Local" {
		return time.Time{}, fmt.Errorf("time zone %q is not known: give an IANA name such as America/Chicago", o.TimeZone)
	}
	first, err := time.ParseInLocation("2006-01", o.First, place)
	if err != nil {
		return time.Time{}, fmt.Errorf("first month: expected YYYY-MM, got %q", o.First)
	}
	return first, nil
}

// run fills one region after the other until there are enough requests.
func (o Options) run(ctx context.Context, out *folder, first time.Time) error {
	for n, number := 0, 0; n < o.Transports && out.err == nil; number++ {
		g := newRegion(o.Seed, number, first, o.Months)
		register(out, g)
		for month := 1; month <= o.Months; month++ {
			calls, night := g.calls(month)
			for _, called := range calls {
				if n == o.Transports {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return fmt.Errorf("inventing stopped after %d of %d transports: %w", n, o.Transports, err)
				}
				o.one(out, g, g.request(n, month, called, night))
				n++
			}
		}
	}
	return nil
}

func (o Options) one(out *folder, g *region, t *trip) {
	s := scribe{out: out, region: g, t: t, every: o.Every, seed: o.Seed, awkward: newDice(o.Seed, streamAwkward, t.index)}
	s.write()
}

// register writes what does not depend on transports: the devices, their services, and the notes of the first region.
func register(out *folder, g *region) {
	owner, part, suffix := "", "", ""
	if g.number > 0 {
		owner, part = moreRegions(g.number)
		suffix = fmt.Sprintf(".%d", g.number+1)
	}
	for _, d := range g.devices {
		out.add("devices", owner, part, []cell{text(d.id), code(d.kind), text(d.inService), text(d.retired), num(d.cost, 0),
			some(d.endurance, 0), some(d.enduranceDimmed, 0)})
	}
	for _, s := range outages {
		if s.fromMonth > g.months {
			continue
		}
		from, to := g.span(s)
		out.add("service", owner, part, []cell{text(s.device + suffix), at(from), at(to), code(s.reason), num(s.cost, 2)})
	}
	if g.number == 0 {
		writeNotes(out, g)
	}
}

func writeNotes(out *folder, g *region) {
	for _, n := range notes {
		if n.month > g.months {
			continue
		}
		day := g.first.AddDate(0, n.month-1, n.day-1)
		closed := cell{}
		if n.closed > 0 {
			closed = date(day.AddDate(0, 0, n.closed))
		}
		out.add("notes", "", "", []cell{date(day), text(n.measure), code(n.kind), text(n.text), text(n.owner), closed})
	}
}
