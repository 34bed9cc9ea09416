package stats

import "fmt"

// ErlangB is the probability that a request finds all servers busy and is
// lost: B(0) = 1, B(k) = aB(k-1)/(k + aB(k-1)), a the load offered (arrival
// rate × mean holding time, no unit). It supposes Poisson arrivals; any holding
// law. Load 0 gives 0 (1 without servers). Refused: a load negative or NaN,
// servers negative. Source: Erlang AK 1917; recursion by Jagerman DL. Bell
// Syst Tech J 1974;53:525-551.
func ErlangB(load float64, servers int) (float64, error) {
	if !(load >= 0) || !isFinite(load) || servers < 0 {
		return 0, fmt.Errorf("stats: load %v with %d servers: expected a finite load and servers from 0", load, servers)
	}
	b := 1.0
	for k := 1; k <= servers; k++ {
		b = load * b / (float64(k) + load*b)
	}
	return b, nil
}

// ErlangC is the probability that a request must wait where none is lost:
// C = B/(1 - ρ(1-B)), ρ = load/servers. It supposes Poisson arrivals and
// exponential holding times. Refused: load not below the number of servers
// (the queue grows without end), and as ErlangB refuses. Source: Erlang AK 1917.
func ErlangC(load float64, servers int) (float64, error) {
	b, err := ErlangB(load, servers)
	if err != nil {
		return 0, err
	}
	if load >= float64(servers) {
		return 0, fmt.Errorf("stats: load %v on %d servers: expected a load below the number of servers, or the queue never ends", load, servers)
	}
	return b / (1 - load/float64(servers)*(1-b)), nil
}
