package charts

import (
	"errors"
	"fmt"
	"regexp"
	"runtime"
	"sync"
)

// mostMachines bounds the machines that draw at the same time: each holds some 20 MB.
const mostMachines = 4

// later are the drawings of a renderer that several machines make while the caller goes on.
type later struct {
	sheets chan *sheet
	done   sync.WaitGroup
	mutex  sync.Mutex
	drawn  map[string]string // by ID
	failed error             // the first failure
}

// NewBusyRenderer starts machines that draw beside the caller: what its methods return is a place holder, and Fill puts the
// drawings there. A wrong chart is refused at once, as by NewRenderer; one that ECharts cannot draw by Fill.
func NewBusyRenderer() (*Renderer, error) {
	l := &later{sheets: make(chan *sheet, 256), drawn: map[string]string{}}
	for range min(mostMachines, runtime.GOMAXPROCS(0)) {
		machine, err := NewRenderer()
		if err != nil {
			return nil, errors.Join(err, l.close())
		}
		l.done.Add(1)
		go l.work(machine)
	}
	return &Renderer{used: map[string]bool{}, later: l}, nil
}

func (l *later) work(machine *Renderer) {
	defer l.done.Done()
	for s := range l.sheets {
		svg, err := machine.finish(s)
		l.mutex.Lock()
		if err != nil && l.failed == nil {
			l.failed = err
		}
		l.drawn[s.frame.ID] = svg
		l.mutex.Unlock()
	}
}

// close ends the machines when all is drawn.
func (l *later) close() error {
	close(l.sheets)
	l.done.Wait()
	return l.failed
}

// holder stands in a document until its drawing is there. No text of records can look like it: they are escaped.
func holder(id string) string { return `<svg data-chart="` + id + `"></svg>` }

var holders = regexp.MustCompile(`<svg data-chart="([a-z0-9-]+)"></svg>`)

// Fill puts the drawings of a busy renderer into a document, each as ready makes it; it ends the machines and must come last, once,
// also where there is nothing to fill.
func (r *Renderer) Fill(document []byte, ready func(svg string) string) ([]byte, error) {
	if err := r.later.close(); err != nil {
		return nil, err
	}
	missing := ""
	filled := holders.ReplaceAllFunc(document, func(found []byte) []byte {
		id := string(holders.FindSubmatch(found)[1])
		svg := r.later.drawn[id]
		if svg == "" {
			missing = id
		}
		return []byte(ready(svg))
	})
	if missing != "" {
		return nil, fmt.Errorf("charts: %s: a place holder without a drawing", missing)
	}
	return filled, nil
}
