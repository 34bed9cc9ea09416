package main

import (
	"context"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// suppliesHelp says what the rows of --supplies are.
const suppliesHelp = "--supplies prints what the committee report of the month --to tells of gas and power, one number a row, over the months " +
	"--from to --to (default: all that have a transport). Keys of --format json: supply (oxygen, air, nitric_oxide, battery); about; month (YYYY-MM, or " +
	"all); by and group (device, cylinder, transport, expected, vehicle,class, reason; both empty where rows are not grouped); n (transports); " +
	"name; value; unit (UCUM); low and high (95 % interval, null where there is none); stands_out (the report marks it). By about:\n" +
	"  bridge               mean L per transport: planned + duration_effect + settings_effect + unexplained = used\n" +
	"  use                  sums over the group, planned or not: asked_for (by the settings), used, unexplained, minutes on carried gas,\n" +
	"                       over_gauges (transports with more unexplained than their gauges' error); of the battery: hours, dimmed_share,\n" +
	"                       low_battery_onsets, low_battery_alarms (per 100 hours), median_ and highest_share_of_endurance, overdrawn\n" +
	"  leak                 unexplained_rate by device, its months, cylinder; gauge_error; usual_level, what the model is off by\n" +
	"  used_over_asked_for  ratio of each month, with centre, lower_limit and upper_limit of its chart; over_gauges\n" +
	"  agreement            of use with planned or asked_for: mean_difference (L) or mean_ratio, lower_limit, upper_limit; left_out\n" +
	"  calibration          used = intercept + slope × expected\n" +
	"  margin               covered 99 % of past use: per_planned_hour, of_plan; high is null where so few give no upper limit\n" +
	"  reserve              below_reserve and without_demand (transports), median_left; of each transport below it minutes_left, left, last_demand\n" +
	"  doubt                cylinder_rows in doubt, by reason, of all months whatever is asked\n" +
	"  overdrawn            share_of_endurance, lit and dimmed of each transport over the limit\n" +
	"  endurance            of a full battery: rated, first_three_months, last_three_months, last_share_of_rated, month\n" +
	"Transports bear the pseudonyms of the reports, made with the same key, unless --name-transports is given. " +
	"It looks back, and says nothing of what a patient under way needs."

func (a *app) printSupplies(ctx context.Context, r *queries.Reader, m measuring) error {
	name, err := a.namer(m.names)
	if err != nil {
		return err
	}
	rows, err := measures.SupplyRows(ctx, r, m.ask.From, m.ask.To, name)
	if err != nil {
		return err
	}
	return measures.WriteSupplies(a.out, m.format, rows)
}
