"""The record contract as plain data: tables, columns, quantities, measures and units.

What: every table and column with its type, unit, whether it is required, its physical range and its codes; the
unit and range of every measured quantity; kind and unit of every measure; factors of units to a base of their kind.
How to run: nothing to run; reading.py, timelines.py and measuring.py import it.
"""
from fractions import Fraction

# table column type unit required min max codes   (a dash stands for nothing)
RECORDS_TEXT = """
transports transport_id text - yes - - -
transports team text - - - - -
transports vehicle code - - - - ground|rotor|fixed_wing
transports urgency code - - - - immediate|urgent|planned
transports disposition code - - - - completed|cancelled|declined
transports disposition_reason code - - - - no_team|no_vehicle|no_equipment|weather|patient_condition|referrer|other
transports referring_site text - - - - -
transports receiving_site text - - - - -
transports called_at time - - - - -
transports delay_reason code - - - - no_team|no_vehicle|no_equipment|weather|other
transports accepted_at time - - - - -
transports departed_base_at time - - - - -
transports arrived_referring_at time - - - - -
transports at_patient_at time - - - - -
transports departed_referring_at time - - - - -
transports arrived_receiving_at time - - - - -
transports handed_over_at time - - - - -
transports available_at time - - - - -
transports patient_key text - - - - -
transports sex code - - - - female|male|undetermined
transports gestation number wk - 20 45 -
transports birth_weight number g - 200 7000 -
transports weight number g - 200 150000 -
transports age_at_call number d - 0 6600 -
transports diagnosis code - - - - respiratory|prematurity|cardiac|surgical|neurological|infection|metabolic|other
transports cooling flag - - - - -
transports ventilator_id text - - - - -
transports planned_duration number min - 1 2880 -
transports planned_oxygen number L - 0 100000 -
transports planned_air number L - 0 100000 -
transports tube_confirmed flag - - - - -
transports intubation_attempts number 1 - 0 20 -
transports intubation_success flag - - - - -
transports intubated_after_handover number h - 0 2000 -
transports intubated_after_for code - - - - respiratory|surgery|other
transports handover_structured flag - - - - -
transports died_in_transit flag - - - - -
transports died_within_7_days flag - - - - -
assessments transport_id text - yes - - -
assessments stage code - yes - - referring_arrival|referring_departure|receiving_arrival
assessments recorded_at time - - - - -
assessments temperature number Cel - 20 45 -
assessments respiratory_status code - - - - none|moderate|severe
assessments respiratory_rate number /min - 0 200 -
assessments heart_rate number /min - 0 350 -
assessments spo2 number % - 0 100 -
assessments fio2 number % - 20.9 100 -
assessments systolic_pressure number mm[Hg] - 0 300 -
assessments response code - - - - vigorous|lethargic|none
assessments mean_airway_pressure number cm[H2O] - 0 80 -
assessments ph number [pH] - 6.3 8.0 -
assessments pco2 number mm[Hg] - 5 250 -
assessments po2 number mm[Hg] - 5 700 -
assessments glucose number mg/dL - 0 1500 -
settings transport_id text - - - - -
settings device_id text - - - - -
settings recorded_at time - yes - - -
settings mode code - - - - simv|assist_control|pressure_support|cmv|cpap|nippv|high_flow|low_flow|hfov|hfjv|standby|off
settings interface code - - - - tube|tracheostomy|nasal|mask|laryngeal_mask|hood|none
settings continuous_flow flag - - - - -
settings pip number cm[H2O] - 0 100 -
settings peep number cm[H2O] - 0 50 -
settings pressure_support number cm[H2O] - 0 80 -
settings rate number /min - 0 1200 -
settings inspiratory_time number s - 0.05 5 -
settings flow number L/min - 0 100 -
settings trigger_sensitivity number 1 - 0 100 -
settings fio2 number % - 20.9 100 -
settings nitric_oxide number [ppm] - 0 100 -
settings mean_airway_pressure number cm[H2O] - 0 80 -
settings amplitude number cm[H2O] - 0 150 -
settings frequency number Hz - 1 25 -
readings transport_id text - - - - -
readings device_id text - - - - -
readings recorded_at time - yes - - -
readings quantity code - yes - - -
readings value number by_quantity yes - - -
readings unit text - - - - -
alarms transport_id text - - - - -
alarms device_id text - - - - -
alarms started_at time - yes - - -
alarms ended_at time - - - - -
alarms silenced_at time - - - - -
alarms condition code - yes - - pip_high|pip_low|rate_high|rate_low|expired_tidal_volume_high|expired_tidal_volume_low|peep_high|peep_low|mean_airway_pressure_high|mean_airway_pressure_low|minute_volume_high|minute_volume_low|oxygen_high|oxygen_low|apnea|disconnection|leak|occlusion|gas_supply_low|battery_low|power_loss|spo2_high|spo2_low|heart_rate_high|heart_rate_low|etco2_high|etco2_low|blood_pressure_high|blood_pressure_low|temperature_high|temperature_low|technical|other
alarms priority code - - - - high|medium|low
alarms alarm_limit number by_condition - - - -
alarms observed number by_condition - - - -
alarms unit text - - - - -
cylinders transport_id text - yes - - -
cylinders cylinder_id text - - - - -
cylinders supply code - - - - carried|vehicle|wall
cylinders gas code - yes - - oxygen|air|nitric_oxide
cylinders size text - - - - -
cylinders concentration number [ppm] - 1 10000 -
cylinders opened_at time - - - - -
cylinders closed_at time - - - - -
cylinders start_pressure number kPa - 0 40000 -
cylinders end_pressure number kPa - 0 40000 -
cylinders start_temperature number Cel - -40 70 -
cylinders end_temperature number Cel - -40 70 -
cylinders start_mass number kg - 0 500 -
cylinders end_mass number kg - 0 500 -
power transport_id text - - - - -
power device_id text - yes - - -
power recorded_at time - yes - - -
power source code - yes - - external|battery|off
power charge number % - 0 100 -
power display_dimmed flag - - - - -
events event_id text - - - - -
events transport_id text - yes - - -
events recorded_at time - - - - -
events kind code - yes - - unplanned_extubation|tube_obstruction|line_dislodgement|air_leak|cardiac_arrest|hypotension|bradycardia|desaturation|medication_error|equipment_failure|gas_supply_failure|power_failure|patient_injury|crew_injury|vehicle_incident|other
events harm code - - - - none|mild|moderate|severe|death
events preventable flag - - - - -
events device_id text - - - - -
events narrative text - - - - -
devices device_id text - yes - - -
devices kind code - yes - - ventilator|monitor|incubator|pump|nitric_oxide_delivery|other
devices in_service_on date - - - - -
devices retired_on date - - - - -
devices purchase_cost number 1 - 0 1000000000.0 -
devices battery_endurance number min - 1 6000 -
devices battery_endurance_display_dimmed number min - 1 6000 -
service device_id text - yes - - -
service removed_at time - yes - - -
service returned_at time - - - - -
service reason code - yes - - failure|preventive|recall|other
service cost number 1 - 0 1000000000.0 -
checks transport_id text - - - - -
checks device_id text - yes - - -
checks recorded_at time - yes - - -
checks kind code - yes - - leak|oxygen_sensor|flow_sensor|battery|alarm|gas_contents|other
checks result code - yes - - pass|fail|skipped
carried transport_id text - yes - - -
carried device_id text - yes - - -
notes noted_on date - yes - - -
notes measure text - - - - -
notes kind code - yes - - change|action
notes text text - yes - - -
notes owner text - - - - -
notes closed_on date - - - - -
"""

# quantity unit min max
QUANTITIES_TEXT = """
pip cm[H2O] -20 100
peep cm[H2O] -20 50
mean_airway_pressure cm[H2O] -20 80
rate /min 0 1200
expired_tidal_volume mL 0 2000
minute_volume L/min 0 60
flow L/min 0 100
leak % 0 100
fio2 % 0 100
spo2 % 0 100
heart_rate /min 0 350
etco2 mm[Hg] 0 200
temperature Cel 20 45
blood_pressure mm[Hg] 0 300
oxygen % 0 100
battery_charge % 0 100
oxygen_supply_pressure kPa 0 2000
air_supply_pressure kPa 0 2000
"""

# measure kind unit
MEASURES_TEXT = """
mobilization_time time min
response_time time min
stabilization_time time min
patient_leg_time time min
trip_time time min
care_time time min
hypothermia_on_arrival proportion %
hyperthermia_on_arrival proportion %
hypocarbia_on_arrival proportion %
hypercarbia_on_arrival proportion %
glucose_low_on_arrival proportion %
tube_confirmed proportion %
first_attempt_intubation proportion %
structured_handover proportion %
adverse_events rate /100
transports_with_event proportion %
preventable_events rate /100
harmful_events rate /100
serious_events rate /100
unplanned_extubation rate /100
unplanned_extubation_hours rate /1000_h
device_dislodgement rate /100
medication_error rate /100
equipment_failure rate /100
cardiac_arrest rate /100
patient_injury rate /100
crew_injury rate /100
died_in_transit proportion %
died_within_7_days proportion %
alarms_per_hour rate /h
high_priority_alarms_per_hour rate /h
repeat_alarms proportion %
alarm_flood proportion %
alarming_time proportion %
conversions rate /100
escalations proportion %
oxygen_ratio ratio 1
air_ratio ratio 1
oxygen_over_plan proportion %
oxygen_reserve_short proportion %
oxygen_per_hour time L/h
battery_time time min
battery_overdrawn proportion %
leak_check_passed proportion %
device_failures rate /1000_h
declined_no_equipment proportion %
delayed_no_equipment proportion %
declined proportion %
record_linked proportion %
"""


class Column:
    """One canonical column: name, kind (text, code, time, date, number, flag), unit, required, low, high, codes."""

    def __init__(self, words):
        self.table, self.name, self.kind, self.unit, required, low, high, codes = words
        self.required = required == "yes"
        self.low = None if low == "-" else float(low)
        self.high = None if high == "-" else float(high)
        self.codes = () if codes == "-" else tuple(codes.split("|"))


def _records():
    tables = {}
    for line in RECORDS_TEXT.strip().splitlines():
        column = Column(line.split(" "))
        tables.setdefault(column.table, {})[column.name] = column
    return tables


TABLES = _records()
QUANTITIES = {w[0]: (w[1], float(w[2]), float(w[3])) for w in
              (line.split(" ") for line in QUANTITIES_TEXT.strip().splitlines())}
TABLES["readings"]["quantity"].codes = tuple(QUANTITIES)
MEASURES = {w[0]: (w[1], w[2].replace("_", " ")) for w in
            (line.split(" ") for line in MEASURES_TEXT.strip().splitlines())}

# The stamps of a transport in the order in which they ought to happen.
STAMPS = ("called_at", "accepted_at", "departed_base_at", "arrived_referring_at", "at_patient_at",
          "departed_referring_at", "arrived_receiving_at", "handed_over_at", "available_at")

# The key of a row where it is not the whole row.
IDENTIFIER = {"transports": "transport_id", "devices": "device_id", "events": "event_id"}

F = Fraction
# unit: (kind, factor to the kind's base, offset added before the factor). Pressure in Pa, mass in g, time in s,
# volume in L, flow in L/min, rate in /min, temperature in Cel, share in %. NIST SP 811 and UCUM essence 2.2.
UNITS = {
    "Pa": ("pressure", F(1), 0), "hPa": ("pressure", F(100), 0), "kPa": ("pressure", F(1000), 0),
    "mbar": ("pressure", F(100), 0), "bar": ("pressure", F(100000), 0),
    "[psi]": ("pressure", F("6894.757293168"), 0), "cm[H2O]": ("pressure", F("98.0665"), 0),
    "mm[Hg]": ("pressure", F("133.322"), 0),
    "g": ("mass", F(1), 0), "kg": ("mass", F(1000), 0), "[lb_av]": ("mass", F("453.59237"), 0),
    "[oz_av]": ("mass", F("28.349523125"), 0),
    "s": ("time", F(1), 0), "ms": ("time", F(1, 1000), 0), "min": ("time", F(60), 0), "h": ("time", F(3600), 0),
    "d": ("time", F(86400), 0), "wk": ("time", F(604800), 0),
    "L": ("volume", F(1), 0), "mL": ("volume", F(1, 1000), 0),
    "L/min": ("flow", F(1), 0), "mL/min": ("flow", F(1, 1000), 0),
    "/min": ("rate", F(1), 0), "/s": ("rate", F(60), 0), "Hz": ("rate", F(60), 0), "/h": ("rate", F(1, 60), 0),
    "Cel": ("temperature", F(1), 0), "[degF]": ("temperature", F(5, 9), F(-32)),
    "K": ("temperature", F(1), F("-273.15")),
    "%": ("share", F(1), 0), "1": ("share", F(100), 0), "[ppm]": ("parts", F(1), 0), "[pH]": ("ph", F(1), 0),
    "mg/dL": ("glucose", F(1), 0), "mmol/L": ("glucose", F("18.016"), 0),
}
ALIASES = {
    "psi": "[psi]", "psig": "[psi]", "cmH2O": "cm[H2O]", "cm H2O": "cm[H2O]", "mmHg": "mm[Hg]", "mm Hg": "mm[Hg]",
    "lb": "[lb_av]", "lbs": "[lb_av]", "oz": "[oz_av]", "sec": "s", "mins": "min", "hr": "h", "hours": "h",
    "days": "d", "weeks": "wk", "wks": "wk", "l": "L", "ml": "mL", "l/min": "L/min", "LPM": "L/min", "lpm": "L/min",
    "ml/min": "mL/min", "1/min": "/min", "bpm": "/min", "breaths/min": "/min", "degC": "Cel", "\u00b0C": "Cel",
    "degF": "[degF]", "\u00b0F": "[degF]", "percent": "%", "ppm": "[ppm]", "pH": "[pH]",
}


def convert(number, source, target):
    """A Fraction from unit source to unit target, or None where that cannot be done."""
    source, target = ALIASES.get(source, source), ALIASES.get(target, target)
    if source == target:
        return number
    if source not in UNITS or target not in UNITS or UNITS[source][0] != UNITS[target][0]:
        return None
    _, factor, offset = UNITS[source]
    _, factor_to, offset_to = UNITS[target]
    return (number + offset) * factor / factor_to - offset_to


def known_unit(unit):
    """Whether the text is a unit or an alias of one."""
    return unit in UNITS or unit in ALIASES
