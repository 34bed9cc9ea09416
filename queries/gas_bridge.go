package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed gas_bridge.sql
var gasBridgeSQL string

// GasPlan is what one transport planned and used of one gas, in litres of free gas, and the error of its gauges. Month is
// empty where the transport has none; Bridge is nil where it cannot be drawn.
type GasPlan struct {
	TransportID, Month, Device string
	Planned, Used, GaugeError  float64
	Bridge                     *GasBridge
}

// GasBridge leads from the plan to the use: planned + DurationEffect + SettingsEffect + Unexplained = used, exactly.
// GasTime is the time on carried gas and PlannedDuration what was planned, in minutes; Hindsight is what the settings asked
// for in that time, in litres; Unexplained holds leaks, gauges and what the model leaves out.
//
// # The demand model
//
// At every moment t of the time under way the row of ventilator settings in force asks for a flow Q(t) of free gas:
//
//	Qset = V                   flow runs through: continuous_flow on or empty, or class low_flow, high_flow, cpap, high_frequency
//	Qset = max(f, f') · Ti/60 · V   flow stops between breaths
//	Qset = 0                   class none, or no row in force yet
//	Qp   = Qset · (1 + l)      with what leaks at the patient
//	Q    = Qp + b              with what the device itself bleeds; b is 0 for class none
//	QO2  = Q · max(0, F − 0.21)/0.79;  Qair = Q − QO2        (blend of oxygen and air)
//	QNO  = p · Qp/(C − p)      nitric oxide from its own cylinder, Qp the flow before it is injected
//	hindsight of a gas = ∫ its flow dt over the time on carried gas (under way less that gas's wall rows)
//
//	V   set flow, L/min                        f   set breath rate, 1/min
//	Ti  set inspiratory time, s                f'  total breath rate read last on that ventilator, 1/min
//	F   set inspired oxygen fraction, 1        p   set nitric oxide, ppm
//	C   nitric oxide in its cylinder, ppm      l, b  leak (1) and bleed (L/min): Settings.DeviceGas of the device, else of its
//	                                           kind, else LeakAllowance and BleedFlow
//
// With Qd = planned / planned duration, T the gas time and D the planned duration: DurationEffect = Qd (T − D), SettingsEffect
// = hindsight − Qd T, Unexplained = used − hindsight. Used is start less end contents of carried and vehicle cylinders: US
// letter sizes L/psi × psi, metric sizes litres of water × bar, liquid oxygen 344 L/lb. With CorrectTemperature gauge
// pressures are first brought to ContentsAt: (P + 101.325 kPa)(ContentsAt + 273.15)/(t + 273.15) − 101.325 kPa.
//
// Assumed: a row of settings and a rate read hold until the next; what was set was delivered; gas is ideal, free gas at
// ambient pressure whatever the altitude; the blender draws no oxygen at F 0.21 and below; air is 21 % oxygen; wall gas
// replaces carried gas wholly. Where flow, timing, F or (for nitric oxide) C are not recorded while on carried gas, or C
// differs between cylinders, hindsight is unknown and there is no bridge. Factors and reserve are local policy; the model
// looks back, and plans for no patient.
//
// Sources: blend as in Loewen 2009 (air and oxygen mixed), dilution of nitric oxide by mass balance, cylinder factors of
// the Virginia EMS oxygen hand-out 2010 and respiratory care textbooks; definitions of this project, Gas.
type GasBridge struct {
	GasTime, PlannedDuration, Hindsight         float64
	DurationEffect, SettingsEffect, Unexplained float64
}

// OxygenPlan compares the oxygen used with the plan, for each transport that oxygen_ratio judges, in order of transport.
func (r *Reader) OxygenPlan(ctx context.Context, from, to string) ([]GasPlan, error) {
	return r.gasPlan(ctx, "oxygen", from, to)
}

// AirPlan is OxygenPlan for air and air_ratio.
func (r *Reader) AirPlan(ctx context.Context, from, to string) ([]GasPlan, error) {
	return r.gasPlan(ctx, "air", from, to)
}

func (r *Reader) gasPlan(ctx context.Context, gas, from, to string) ([]GasPlan, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	if err := r.establish(ctx, gasPlans, nil); err != nil {
		return nil, err
	}
	return collect(ctx, r, gasBridgeSQL, scanGasPlan, append(args, sql.Named("gas", gas))...)
}

func scanGasPlan(rows *sql.Rows) (GasPlan, error) {
	var p GasPlan
	var b [6]sql.NullFloat64
	err := rows.Scan(&p.TransportID, &p.Month, &p.Device, &p.Planned, &p.Used, &p.GaugeError, &b[0], &b[1], &b[2], &b[3], &b[4], &b[5])
	for _, n := range b {
		if !n.Valid {
			return p, err
		}
	}
	p.Bridge = &GasBridge{b[0].Float64, b[1].Float64, b[2].Float64, b[3].Float64, b[4].Float64, b[5].Float64}
	return p, err
}
