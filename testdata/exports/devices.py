"""Exports of ventilators, monitors and power supplies, and the registers of biomedical engineering."""

from datetime import datetime, timedelta

from kit import Column as C, export, scaled, when
from world import alarms, changes, dice, minutes

START = datetime(2025, 5, 19, 7, 2)
WATER = 1 / 0.980665  # mbar to cm[H2O] is this, turned round


@export("ventilator-trend-wide")
def trend_wide(e):
    rng = dice("ventilator-trend-wide")
    e.source("r", "TREND_*.TXT", "readings", time_format="%Y-%m-%d %H:%M:%S", constants={"device_id": "V2"})
    columns = [C("Date", when("recorded_at", "%Y-%m-%d"), "recorded_at"), C("Time", when("recorded_at", "%H:%M:%S"), "recorded_at"),
               C("PIP cmH2O", "pip", quantity="pip", unit="cmH2O"), C("PEEP cmH2O", "peep", quantity="peep", unit="cmH2O"), C("Pmean cmH2O", "mean_airway_pressure", quantity="mean_airway_pressure", unit="cmH2O"),
               C("Ftot bpm", "rate", quantity="rate", unit="bpm"), C("Vte mL", "expired_tidal_volume", quantity="expired_tidal_volume", unit="mL"), C("MVe L/min", "minute_volume", quantity="minute_volume", unit="L/min"),
               C("Leak %", "leak", quantity="leak", unit="%"), C("FiO2 %", "fio2", quantity="fio2", unit="%"), C("Batt %", "battery_charge", quantity="battery_charge", unit="%"), C("Compliance", lambda r: rng.randint(3, 9) / 10)]
    e.learn("r", columns)
    e.file("TREND_0519.TXT", columns, minutes(rng, 120, START), delimiter="\t", encoding="utf-16",
           before=["Trend export", "Unit: V2", "Software: 3.11", ""])


@export("ventilator-trend-long")
def trend_long(e):
    rng = dice("ventilator-trend-long")
    names = {"Ppeak": "pip", "PEEP": "peep", "RR total": "rate", "VTe": "expired_tidal_volume", "MVexp": "minute_volume", "O2": "fio2"}
    unit = {"pip": "mbar", "peep": "mbar", "rate": "1/min", "expired_tidal_volume": "ml", "minute_volume": "l/min", "fio2": "%"}
    form = "%d.%m.%Y %H:%M:%S"
    e.source("r", "log_V*.csv", "readings", time_format=form, decimal="comma")
    rows = [dict(m, parameter=q, value=m[q], unit=unit[q]) for m in minutes(rng, 30, START, device="V4") for q in names.values()]
    columns = [C("Zeitpunkt", when("recorded_at", form), "recorded_at"), C("Gerät", "device_id", "device_id"), C("Parameter", "parameter", "quantity", codes=names),
               C("Messwert", "value", "value", real=lambda r: r["value"] * 100 / 98.0665 if r["unit"] == "mbar" else r["value"]), C("Einheit", "unit", "unit"), C("Status", lambda r: "ok")]
    e.learn("r", columns)
    e.file("log_V4.csv", columns, rows, delimiter=";", comma=True)


@export("monitor-epoch")
def monitor_epoch(e):
    rng = dice("monitor-epoch")
    epoch = lambda r: int((r["recorded_at"] - datetime(1970, 1, 1)).total_seconds())
    e.source("r", "vitals*.csv.gz", "readings", time_format="epoch")
    columns = [C("unixtime", epoch, "recorded_at", utc=True), C("bed", "device_id", "device_id"), C("HR", "heart_rate", quantity="heart_rate"), C("SpO2", "spo2", quantity="spo2"),
               C("etCO2 (mmHg)", "etco2", quantity="etco2", unit="mmHg"), C("ABP mean", "blood_pressure", quantity="blood_pressure"), C("Tskin (°F)", scaled("temperature", 1.8, 1, 32), quantity="temperature", unit="°F"), C("PI", lambda r: rng.randint(4, 30) / 10)]
    e.learn("r", columns)
    e.file("vitals-M1.csv.gz", columns, minutes(rng, 150, START, step=20, device="M1"), newline="\n", pack="gzip")


@export("ventilator-fleet-minutes")
def fleet_minutes(e):
    rng = dice("ventilator-fleet-minutes")
    form = "%m/%d/%Y %H:%M"
    e.source("r", "fleet_minute_data*.csv", "readings", time_format=form)
    rows = [m for i in range(4) for m in minutes(rng, 45, START + timedelta(days=2 * i), device=f"V{i + 1}")]
    columns = [C("Serial", "device_id", "device_id"), C("Stamp", when("recorded_at", form), "recorded_at"), C("Peak pressure", "pip", quantity="pip"), C("End-expiratory pressure", "peep", quantity="peep"),
               C("Mean pressure", "mean_airway_pressure", quantity="mean_airway_pressure"), C("Breath rate", "rate", quantity="rate"), C("Exhaled volume", "expired_tidal_volume", quantity="expired_tidal_volume"),
               C("Oxygen inlet kPa", "oxygen_supply_pressure", quantity="oxygen_supply_pressure", unit="kPa"), C("Air inlet kPa", "air_supply_pressure", quantity="air_supply_pressure", unit="kPa")]
    e.learn("r", columns)
    e.file("fleet_minute_data.csv", columns, sorted(rows, key=lambda r: r["recorded_at"]))


@export("ventilator-settings")
def settings_log(e):
    rng = dice("ventilator-settings")
    form = "%Y/%m/%d %H:%M:%S"
    modes = {"SIMV": "simv", "A/C": "assist_control", "PSV": "pressure_support", "CPAP": "cpap", "NIPPV": "nippv", "HFNC": "high_flow", "STBY": "standby", "HFO": "hfov"}
    e.source("s", "SETTINGS*.csv", "settings", time_format=form)
    columns = [C("DateTime", when("recorded_at", form), "recorded_at"), C("SN", "device_id", "device_id"), C("Mode", "mode", "mode", codes=modes),
               C("Patient interface", "interface", "interface", codes={"ETT": "tube", "Prongs": "nasal", "None": "none"}), C("Set PIP (mbar)", scaled("pip", 1 / WATER, 1), "pip", unit="mbar"), C("Set PEEP (mbar)", scaled("peep", 1 / WATER, 1), "peep", unit="mbar"),
               C("Set rate", "rate", "rate"), C("Ti (ms)", scaled("inspiratory_time", 1000, 0), "inspiratory_time", unit="ms"), C("Flow lpm", "flow", "flow", unit="lpm"), C("FiO2", scaled("fio2", 0.01, 2), "fio2", unit="1"),
               C("iNO ppm", "nitric_oxide", "nitric_oxide", unit="ppm"), C("PS", "pressure_support", "pressure_support"), C("User", lambda r: "svc")]
    e.learn("s", columns)
    e.file("SETTINGS_V3.csv", columns, changes(rng, 90, START))


@export("ventilator-oscillation")
def oscillation(e):
    rng = dice("ventilator-oscillation")
    form = "%d-%m-%Y %H:%M"
    rows = [dict(c, mode="hfov") for c in changes(rng, 40, START)]
    e.source("s", "hfo chart*.csv", "settings", time_format=form, constants={"mode": "hfov"})
    columns = [C("Charted at", when("recorded_at", form), "recorded_at"), C("Machine", "device_id", "device_id"), C("MAP", "mean_airway_pressure", "mean_airway_pressure"), C("Delta P", "amplitude", "amplitude"),
               C("Hz", "frequency", "frequency"), C("FiO2 %", "fio2", "fio2", unit="%"), C("Nitric (ppm)", "nitric_oxide", "nitric_oxide", unit="ppm"), C("Charted by", lambda r: "RT")]
    e.learn("s", columns)
    e.file("hfo chart May.csv", columns, rows)


@export("alarm-log-pipe")
def alarm_pipe(e):
    rng = dice("alarm-log-pipe")
    form = "%Y%m%d %H%M%S"
    words = {"HIGH PIP": "pip_high", "LOW PIP": "pip_low", "HIGH RATE": "rate_high", "LOW VTE": "expired_tidal_volume_low", "CIRCUIT DISCONNECT": "disconnection", "APNEA": "apnea", "LOW BATTERY": "battery_low", "O2 SUPPLY LOW": "gas_supply_low"}
    e.source("a", "ALM*.dat.txt", "alarms", time_format=form)
    columns = [C("ONSET", when("started_at", form), "started_at"), C("CLEARED", when("ended_at", form), "ended_at"), C("AUDIO_PAUSED", when("silenced_at", form), "silenced_at"), C("UNIT_SN", "device_id", "device_id"),
               C("ALARM", "condition", "condition", codes=words), C("LEVEL", "priority", "priority", codes={"H": "high", "M": "medium", "L": "low"}), C("LIMIT", "alarm_limit", "alarm_limit"), C("ACTUAL", "observed", "observed"), C("SEQ", lambda r: rng.randint(1, 9999))]
    e.learn("a", columns)
    e.file("ALM0519.dat.txt", columns, alarms(rng, 110, START, list(words.values())), delimiter="|")


@export("alarm-log-12h")
def alarm_12h(e):
    rng = dice("alarm-log-12h")
    date, clock = "%m/%d/%Y", "%I:%M:%S %p"
    words = {"SpO2 low": "spo2_low", "SpO2 high": "spo2_high", "HR low": "heart_rate_low", "HR high": "heart_rate_high", "EtCO2 high": "etco2_high", "Probe off": "technical", "NIBP low": "blood_pressure_low"}
    e.source("a", "Monitor events*.csv", "alarms", time_format=date + " " + clock)
    columns = [C("Monitor", "device_id", "device_id"), C("Event date", when("started_at", date), "started_at"), C("Event time", when("started_at", clock), "started_at"), C("Duration (s)", lambda r: (r.ended_at - r.started_at).seconds),
               C("Alarm text", "condition", "condition", codes=words), C("Severity", "priority", "priority", codes={"Crisis": "high", "Warning": "medium", "Advisory": "low"})]
    e.learn("a", columns)
    e.file("Monitor events wk21.csv", columns, alarms(rng, 95, START, list(words.values()), device="M3"))


@export("power-log-milliseconds")
def power_log(e):
    rng = dice("power-log-milliseconds")
    rows = [dict(device_id=f"V{1 + i % 3}", recorded_at=START + timedelta(minutes=7 * i), source=rng.choice(["external", "battery", "off"]), charge=rng.randint(22, 100), dim=rng.random() < 0.3) for i in range(90)]
    stamp = lambda r: int((r["recorded_at"] - datetime(1970, 1, 1)).total_seconds() * 1000)
    e.source("p", "pwr*.csv", "power", time_format="epoch_ms")
    columns = [C("ts", stamp, "recorded_at", utc=True), C("asset", "device_id", "device_id"), C("supply", "source", "source", codes={"AC": "external", "BATT": "battery", "NONE": "off"}), C("SoC %", "charge", "charge", unit="%"),
               C("screen_dim", "dim", "display_dimmed", codes={"1": "true", "0": "false"}), C("mA", lambda r: rng.randint(400, 2200))]
    e.learn("p", columns)
    e.file("pwr_week21.csv", columns, rows, newline="\n")


@export("device-register")
def register(e):
    rng = dice("device-register")
    form = "%d/%m/%Y"
    kinds = {"Transport ventilator": "ventilator", "Patient monitor": "monitor", "Transport incubator": "incubator", "Syringe pump": "pump", "NO delivery": "nitric_oxide_delivery"}
    e.source("d", "Asset register*.csv", "devices", time_format=form)
    rows = [dict(device_id=f"{'VMIPN'[i % 5]}{1 + i // 5}", kind=list(kinds.values())[i % 5], on=datetime(2015 + i % 8, 1 + i % 12, 3 + i % 24),
                 off=datetime(2024, 1 + i % 12, 14 + i % 10) if i % 6 == 0 else None, cost=rng.randint(2, 60) * 500, minutes=rng.choice([90, 120, 240, 360])) for i in range(30)]
    columns = [C("Asset no.", "device_id", "device_id"), C("Description", "kind", "kind", codes=kinds), C("Commissioned", when("on", form), "in_service_on"), C("Disposed", when("off", form), "retired_on"),
               C("Purchase price", "cost", "purchase_cost"), C("Battery life (min)", "minutes", "battery_endurance", unit="min"), C("Location", lambda r: "Store 2"), C("Supplier", lambda r: "n/a")]
    e.learn("d", columns)
    e.file("Asset register 2025.csv", columns, rows, encoding="utf-8-sig")


@export("service-log")
def service(e):
    rng = dice("service-log")
    form = "%d.%m.%Y %H:%M"
    reasons = {"Defekt": "failure", "STK": "preventive", "Rückruf": "recall", "Sonstiges": "other"}
    rows = [dict(device_id=f"V{1 + i % 4}", out=START + timedelta(days=9 * i), back=START + timedelta(days=9 * i + rng.randint(1, 7)), reason=rng.choice(list(reasons.values())), cost=rng.randint(40, 4000) + 0.5) for i in range(26)]
    e.source("s", "Werkstatt*.csv", "service", time_format=form, decimal="comma")
    columns = [C("Gerätenr", "device_id", "device_id"), C("Außer Betrieb ab", when("out", form), "removed_at", real=lambda r: r["out"]), C("Wieder einsatzbereit", when("back", form), "returned_at", real=lambda r: r["back"]), C("Grund", "reason", "reason", codes=reasons), C("Kosten (EUR)", "cost", "cost"), C("Techniker", lambda r: "W.")]
    e.learn("s", columns)
    e.file("Werkstatt 2025.csv", columns, rows, delimiter=";", comma=True, encoding="cp1252")


@export("preuse-checklist")
def checklist(e):
    rng = dice("preuse-checklist")
    form = "%Y-%m-%dT%H:%M"
    kinds = {"Circuit leak test": "leak", "O2 cell": "oxygen_sensor", "Flow sensor cal": "flow_sensor", "Battery": "battery", "Alarm test": "alarm", "Cylinder contents": "gas_contents"}
    rows = [dict(device_id=f"V{1 + i % 4}", recorded_at=START + timedelta(hours=6 * (i // 6), minutes=i % 6), kind=list(kinds.values())[i % 6], result=rng.choice(["pass"] * 6 + ["fail", "skipped"]), number=2025000 + i // 6) for i in range(120)]
    e.source("c", "daily checks*.csv", "checks", time_format=form)
    columns = [C("Checked at", when("recorded_at", form), "recorded_at"), C("Ventilator", "device_id", "device_id"), C("Test", "kind", "kind", codes=kinds), C("OK?", "result", "result", codes={"Pass": "pass", "FAIL": "fail", "Not done": "skipped"}), C("For transport", "number", "transport_id"), C("Initials", lambda r: "JK")]
    e.learn("c", columns)
    e.file("daily checks.csv", columns, rows)
