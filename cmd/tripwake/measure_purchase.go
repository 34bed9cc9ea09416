package main

import (
	"context"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// purchaseHelp says what the rows of --purchase are.
const purchaseHelp = "--purchase prints what the purchase report tells, one number a row, over the months --from to --to (default: all that have a " +
	"transport): the need as it was, then each of the setting candidates. Keys of --format json: candidate (empty: the need); kind; team; group (a " +
	"device, a number of units, an assumption); n (requests or transports replayed); name; value; unit; low and high (95 % interval, null where " +
	"there is none); method; note. By name:\n" +
	"  requests, declined_no_equipment, delayed_no_equipment   as recorded\n" +
	"  median_hold, mean_hold, load     hours from acceptance to ready again with the turnaround; load: mean number in use\n" +
	"  time_at_level                    hours at each number in use at once (group)\n" +
	"  none_free                        requests that so many units (group), always there, would have left without one\n" +
	"  none_free_as_it_was              the same with units out of service as the service records tell\n" +
	"  none_free_model                  the same by Erlang B with the same arrivals and mean hold\n" +
	"  downtime, failures, failure_rate, time_between_failures, time_to_repair, availability, recorded_availability   by kind and device\n" +
	"  shortfalls, shortfalls_with, avoided, avoided_per_year   of a candidate: requests that found none free, batteries overdrawn, or gas\n" +
	"                                   below the reserve; avoided_all_there and avoided_model for units always there\n" +
	"  lent                             shortfalls that went out with a device that mostly goes with another team\n" +
	"  shortfalls_of_month, shortfalls_of_month_with   the same by month (group)\n" +
	"  at_least_up, at_least_up_with, smallest_fleet   k of n, for each number needed (group)\n" +
	"  cost_per_year, cost_per_avoided  in the currency of the settings, also under other assumptions (group)"

// purchase gathers what the purchase report and the rows on standard output are made of.
func (a *app) purchase(ctx context.Context, r *queries.Reader, from, to string) (measures.Purchase, error) {
	return measures.NewPurchase(ctx, r, measures.PurchaseAsk{Candidates: a.settings.buying.candidates, From: from, To: to,
		Currency: a.settings.buying.currency, Target: a.settings.buying.target})
}

func (a *app) printPurchase(ctx context.Context, r *queries.Reader, m measuring) error {
	p, err := a.purchase(ctx, r, m.ask.From, m.ask.To)
	if err != nil {
		return err
	}
	return measures.WritePurchase(a.out, m.format, measures.PurchaseRows(p))
}
