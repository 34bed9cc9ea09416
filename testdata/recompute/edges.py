"""Cases on the edge of every rule, written by hand, for make_exports.py.

What: `edge_files` gives (file name, delimiter, encoding, line end, records). All times are wall clock texts of
America/Chicago on days of their own; devices EV.. belong to one case each, LV1 and LV2 to the linking cases. The comment
beside a case says what the contract makes of it.
How to run: make_exports.py uses it.
"""
import datetime

from contract import TABLES

FULL = {"called_at": "09:50", "accepted_at": "10:00", "departed_base_at": "10:20", "arrived_referring_at": "11:00",
        "at_patient_at": "11:05", "departed_referring_at": "12:00", "arrived_receiving_at": "13:00",
        "handed_over_at": "13:10", "available_at": "13:30"}
HEADERS = {"assessments_edge2": {"pco2": "pco2 (kPa)", "temperature": "temperature [degF]", "glucose": "glucose (mmol/L)"},
           "cylinders_edge1": {"start_pressure": "start_pressure (psi)", "end_pressure": "end_pressure (psi)"},
           "cylinders_edge2": {"start_pressure": "start_pressure [bar]", "end_pressure": "end_pressure [bar]"}}


class Edges:
    """Collects the rows of the edge files; a file is named by table and a number."""

    def __init__(self, dice, year):
        self.first = datetime.date(year, 12, 1) + datetime.timedelta(days=dice.randrange(12))
        self.year, self.files, self.case = year, {}, 0

    def add(self, name, **cells):
        """Adds a row of texts to a file such as settings_edge1."""
        self.files.setdefault(name, []).append({k: v for k, v in cells.items() if v is not None})

    def at(self, clock, case=None):
        """The text of a clock time on the day of a case (this one unless told)."""
        day = self.first + datetime.timedelta(days=self.case if case is None else case)
        return f"{day} {clock}"

    def transport(self, name, stamps=None, file="transports_edge1", **cells):
        """A transport on a day of its own with the usual stamps, some changed; a stamp '' is missing."""
        self.case += 1
        clocks = {k: v for k, v in {**FULL, **(stamps or {})}.items() if v}
        cells = {"ventilator_id": f"EV{self.case:02d}", "urgency": "urgent", "disposition": "completed",
                 "vehicle": "ground", "team": "Edge", **cells}
        self.add(file, transport_id=name, **{k: self.at(v) for k, v in clocks.items()}, **cells)
        self.now = name
        self.vent = cells["ventilator_id"]

    def settings(self, *rows):
        """Settings of the present ventilator without a transport: 'HH:MM:SS mode interface'."""
        for text in rows:
            clock, mode, interface = text.split()
            self.add("settings_edge1", device_id=self.vent, recorded_at=self.at(clock),
                     mode=mode.replace("-", ""), interface=interface.replace("-", ""))

    def arrival(self, file="assessments_edge1", **cells):
        """A receiving_arrival assessment."""
        self.add(file, transport_id=self.now, stage="receiving_arrival", recorded_at=self.at("13:05"), **cells)

    def alarms(self, device, seconds, condition="spo2_low", length=1):
        """Alarms so many seconds after noon on the present transport."""
        for s in seconds:
            self.add("alarms_edge1", transport_id=self.now, device_id=device, condition=condition, priority="medium",
                     started_at=self.at(clock_of(s)), ended_at=None if length is None else self.at(clock_of(s + length)))

    def bottle(self, file, **cells):
        """A cylinder of the present transport."""
        self.add(file, transport_id=self.now, **{"gas": "oxygen", **cells})


def clock_of(seconds):
    """HH:MM:SS so many seconds after noon."""
    return f"{12 + seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def arrivals(e):
    """Condition on arrival, each value on or beside its limit."""
    e.transport("ARR01", {"departed_base_at": "10:30"})  # mobilization on its target: 30 min counts
    e.settings("11:00:00 simv tube")
    e.arrival(temperature="36.5", pco2="30.0", ph="7.2", glucose="45.0")  # nothing is beyond
    e.transport("ARR02", {"departed_base_at": "10:30:01"})
    e.settings("11:00:00 simv tube")
    e.arrival("assessments_edge2", temperature="97.7", pco2="4", ph="7.19", glucose="2.5")  # 30.0026 and 45.04: neither
    e.transport("ARR03")
    e.settings("11:00:00 hfov tube")
    e.arrival("assessments_edge2", temperature="97.5", pco2="3.99966", ph="7.5", glucose="2.49")  # 30.0 exactly
    e.transport("ARR04")
    e.settings("11:00:00 simv tube")
    e.arrival("assessments_edge2", temperature="99.5", pco2="7", ph="7.19")  # 52.5045: hypercarbia
    e.transport("ARR05", age_at_call="28.9")
    e.settings("11:00:00 simv tube")
    e.arrival(temperature="36.45", pco2="52.5", ph="7.1")  # 36.45 becomes 36.5; 52.5 is not above
    e.transport("ARR06", age_at_call="29")  # too old for the temperature measures
    e.arrival(temperature="36.0")
    e.transport("ARR07", age_at_call="0")
    e.arrival(temperature="36.44", glucose="44.9")  # 36.4: low
    e.transport("ARR08", cooling="YES")
    e.arrival(temperature="33.5")  # cooled: out
    e.transport("ARR09")
    e.arrival(temperature="37.55")  # 37.6: high
    e.transport("ARR10")
    e.settings("11:00:00 simv tube", "12:30:00 cpap nasal")
    e.arrival(pco2="25", ph="7.3")  # last class not invasive: out
    last_assessments(e)


def last_assessments(e):
    """Which of several assessments is the last."""
    e.transport("ARR11")
    e.arrival(temperature="36.0", glucose="40")
    e.arrival(temperature="37.0", glucose="80")  # same time: the later record
    e.transport("ARR12")
    e.arrival(temperature="36.0")
    e.add("assessments_edge1", transport_id="ARR12", stage="receiving_arrival", temperature="37.0")  # no time: earliest
    e.transport("ARR13")
    e.add("assessments_edge1", transport_id="ARR13", stage="receiving_arrival", recorded_at=e.at("12:59"), temperature="36")
    e.arrival(glucose="50")  # the last has no temperature: not recorded


def supports(e):
    """Support episodes; under way is 11:05 to 13:10."""
    e.transport("SUP01")  # cpap, 2 min nippv stays, cpap: two conversions
    e.settings("10:50:00 cpap nasal", "12:00:00 nippv nasal", "12:02:00 cpap nasal")
    e.transport("SUP02")  # 1 min 59 s is passed over: none
    e.settings("11:00:00 cpap nasal", "12:00:00 nippv nasal", "12:01:59 cpap nasal")
    e.transport("SUP03")  # standby between: joins; then tube: escalated
    e.settings("11:00:00 cpap nasal", "11:30:00 standby nasal", "11:31:00 cpap nasal", "12:30:00 simv tube")
    e.transport("SUP04", {"handed_over_at": "11:07:30"})  # all short: high_flow, the longest with 80 s
    e.settings("11:00:00 cpap nasal", "11:05:30 high_flow nasal", "11:06:50 nippv nasal")
    e.transport("SUP05")  # first is short: its time goes to the next
    e.settings("11:00:00 nippv mask", "11:06:00 simv tube")
    e.transport("SUP06")  # none and unknown only: no episode
    e.settings("11:00:00 standby tube", "11:30:00 simv none", "12:00:00 off -")
    e.transport("SUP07")  # equal times: the later record (simv tube) wins
    e.settings("11:00:00 cpap nasal", "12:00:00 nippv nasal", "12:00:00 simv tube")
    e.transport("SUP08")  # flicker 60 s each way: invasive throughout; a tube all along
    e.settings("11:00:00 simv tube", "12:00:00 cpap nasal", "12:01:00 simv tube", "12:02:00 cpap nasal", "12:03:00 cmv tube")
    e.transport("SUP09")  # tube, 3 min of oscillation, tube: two conversions, all of it tube time
    e.settings("11:00:00 simv tube", "12:00:00 hfov tube", "12:03:00 simv tube")
    e.transport("SUP10")  # tracheostomy: invasive, no tube; an extubation here is outside the population
    e.settings("11:00:00 simv tracheostomy")
    e.add("events_edge1", transport_id="SUP10", kind="unplanned_extubation", harm="mild", event_id="X1")
    e.transport("SUP11", tube_confirmed="yes")  # one extubation in 2 h 5 min of tube
    e.settings("11:05:00 simv tube")
    e.add("events_edge1", transport_id="SUP11", kind="Unplanned_Extubation", harm="severe", event_id="X2", preventable="Y")
    e.transport("SUP12", {"at_patient_at": "13:20"})  # end before start: no care time, no episodes
    e.settings("11:00:00 cpap nasal")
    e.transport("SUP13", {"handed_over_at": "11:05", "arrived_receiving_at": ""})  # no length: care time 0, no episodes
    e.settings("11:00:00 cpap nasal")


def alarm_cases(e):
    """Floods and repeats; a monitor EM1 rides along by name."""
    e.transport("ALA01")
    e.alarms(e.vent, range(0, 601, 60))  # eleven in exactly 10 min: flood
    e.transport("ALA02")
    e.alarms(e.vent, range(0, 541, 60))  # ten: none
    e.transport("ALA03")
    e.alarms(e.vent, list(range(0, 541, 60)) + [601])  # the eleventh one second late: none
    e.transport("ALA04")
    e.alarms(e.vent, range(0, 300, 60))
    e.alarms("EM1", range(30, 331, 60), "heart_rate_high")  # eleven over two devices: flood
    e.transport("ALA05")
    e.alarms(e.vent, [0], "apnea", 10)
    e.alarms(e.vent, [70], "apnea", 200)     # 60 s after the end: no repeat
    e.alarms(e.vent, [100], "apnea", 10)     # before the end of an earlier one: repeat
    e.alarms(e.vent, [329], "apnea", None)   # 59 s after 270: repeat, no length
    e.alarms(e.vent, [389], "apnea", 10)     # 60 s after 329: no repeat
    e.alarms(e.vent, [390], "leak", 5)       # another condition: no repeat
    e.transport("ALA06")
    e.alarms(e.vent, [0], "leak", None)      # a single moment: no monitored time, out
    e.transport("ALA07")
    e.add("readings_edge1", transport_id="ALA07", device_id=e.vent, recorded_at=e.at("09:30"), quantity="spo2", value="95")
    e.add("readings_edge1", transport_id="ALA07", device_id=e.vent, recorded_at=e.at("14:00"), quantity="spo2", value="94")
    e.alarms(e.vent, [7201], "leak", 5)      # 14:00:01 is outside the widened window: 4.5 h, no onset
    e.alarms(e.vent, [7195], "leak", 60)     # ends outside: counted to 14:00:00


def power_cases(e):
    """Battery; under way is 11:05 to 13:10."""
    # Bright 10 + 40 + 20 min of 100 and 40 dimmed of 400 come to 0.8: not over. One second more is.
    for name, last in (("POW01", "13:00"), ("POW02", "13:00:01")):
        e.transport(name, {"handed_over_at": "13:50", "available_at": "14:00"})
        e.add("devices_edge1", device_id=e.vent, kind="ventilator", battery_endurance="100",
              battery_endurance_display_dimmed="400")
        e.add("power_edge1", device_id=e.vent, recorded_at=e.at("10:59"), source="battery", display_dimmed="off")
        e.add("power_edge1", device_id=e.vent, recorded_at=e.at("11:15"), source="External")
        for clock, source, dimmed in (("11:20", "battery", ""), ("12:00", "battery", "on"), ("12:40", "battery", "no"),
                                      (last, "off", "")):
            e.add("power_edge1", transport_id=name, device_id=e.vent, recorded_at=e.at(clock), source=source,
                  display_dimmed=dimmed)
    e.transport("POW03")  # no device in the register: time, no overdrawn
    e.add("power_edge1", device_id=e.vent, recorded_at=e.at("12:00"), source="battery")


def readiness_cases(e):
    """Leak checks at the ends of their time."""
    for name, day, clock in (("LEK01", -1, "22:00:00"), ("LEK02", -1, "21:59:59"), ("LEK03", 0, "12:00:00"),
                             ("LEK04", 0, "12:00:01")):
        e.transport(name)  # 12 h before 10:00 is in, a second before is out; 12:00 is in, a second after is out
        e.add("checks_edge1", device_id=e.vent, recorded_at=e.at(clock, e.case + day), kind="leak", result="pass",
              transport_id="ARR01")
    e.transport("LEK05")
    e.add("checks_edge1", device_id=e.vent, recorded_at=e.at("10:30"), kind="leak", result="fail")
    e.transport("LEK06", {"departed_referring_at": ""})  # left out
    e.transport("LEK07", ventilator_id=None)


def gas_cases(e):
    """Cylinders; psi in the first file, bar in the second."""
    e.transport("GAS01", planned_oxygen="270.2")  # 1000 psi of E is 280 L; 9.8 over, error 9.8995: not over
    e.bottle("cylinders_edge1", size="E", start_pressure="2000", end_pressure="1000")
    e.transport("GAS02", planned_oxygen="270")    # 10 over: over
    e.bottle("cylinders_edge1", size="e", start_pressure="2000", end_pressure="1000", supply="vehicle")
    e.transport("GAS03", planned_oxygen="100")    # used nothing: in per hour only
    e.bottle("cylinders_edge1", size="D", start_pressure="1500", end_pressure="1500")
    e.transport("GAS04", planned_oxygen="100")    # used less than nothing
    e.bottle("cylinders_edge1", size="D", start_pressure="1400", end_pressure="1500")
    e.transport("GAS05", planned_oxygen="1500")   # 2 kg of liquid: 1516.8 L, 16.8 over and no gauge: over
    e.bottle("cylinders_edge1", size="liquid", start_mass="10", end_mass="8", supply="vehicle")
    e.transport("GAS06", planned_oxygen="100")    # one mass missing: out
    e.bottle("cylinders_edge1", size="liquid", start_mass="10")
    e.transport("GAS07", planned_oxygen="100", planned_air="100")  # oxygen lacks a pressure, air does not
    e.bottle("cylinders_edge1", size="E", start_pressure="2000")
    e.bottle("cylinders_edge1", size="E", gas="air", start_pressure="2000", end_pressure="1500")
    e.transport("GAS08", planned_oxygen="200")    # wall 11:05 to 12:00 and 11:50 to 12:10: 60 min of gas
    e.bottle("cylinders_edge2", size="10 L", start_pressure="150", end_pressure="130")
    e.bottle("cylinders_edge2", supply="wall")
    e.bottle("cylinders_edge2", supply="wall", opened_at=e.at("11:50"), closed_at=e.at("12:10"))
    e.transport("GAS09", planned_oxygen="200")    # wall all the way: no gas time
    e.bottle("cylinders_edge2", size="10 L", start_pressure="150", end_pressure="140")
    e.bottle("cylinders_edge2", supply="wall", closed_at=e.at("14:00"))
    for name, end in (("GAS10", "15"), ("GAS11", "14.9")):  # 2 L at 15 bar lasts 30 min at 1 L/min: not short; 14.9: short
        e.transport(name)
        e.bottle("cylinders_edge2", size="2 L", start_pressure="100", end_pressure=end)
        e.add("settings_edge1", transport_id=name, device_id=e.vent, recorded_at=e.at("11:00"), mode="cpap",
              interface="nasal", flow="1", fio2="100", continuous_flow="no")
    e.transport("GAS12")  # no flow between breaths: 30 x 0.3 s x 8 = 1.2 L/min, 40 breaths seen: 1.6; 40 L last 25 min
    e.bottle("cylinders_edge2", size="2 L", start_pressure="100", end_pressure="20")
    e.add("settings_edge1", device_id=e.vent, recorded_at=e.at("11:00"), mode="simv", interface="tube", flow="8",
          fio2="100", rate="30", inspiratory_time="0.3", continuous_flow="f")
    e.add("readings_edge1", device_id=e.vent, recorded_at=e.at("12:30"), quantity="rate", value="40", unit="/min")
    like_cylinders(e)


def like_cylinders(e):
    """Two equal rows in a file are two; the same two in another file are the same two; a third there is a third."""
    e.transport("GAS13", planned_oxygen="300")
    for file, times in (("cylinders_edge3", 2), ("cylinders_edge4", 1), ("cylinders_edge5", 3)):
        for _ in range(times):
            e.bottle(file, size="E", start_pressure="13790", end_pressure="11000")


def clock_cases(e):
    """The nights on which clocks change."""
    sunday = datetime.date(e.year, 11, 1)
    while sunday.weekday() != 6:
        sunday += datetime.timedelta(days=1)
    # Order decides: at the patient 01:50, leaving 01:10 is the second 01:10.
    e.add("transports_edge2", transport_id="CLK01", ventilator_id="CV1", called_at=f"{sunday} 00:05",
          accepted_at=f"{sunday} 00:10", departed_base_at=f"{sunday} 00:30", arrived_referring_at=f"{sunday} 00:50",
          at_patient_at=f"{sunday} 01:50", departed_referring_at=f"{sunday} 01:10", arrived_receiving_at=f"{sunday} 02:05",
          handed_over_at=f"{sunday} 02:10", available_at=f"{sunday} 02:30")
    # Order does not decide 01:20 and 01:40: the first hour.
    e.add("transports_edge2", transport_id="CLK02", ventilator_id="CV2", called_at=f"{sunday} 00:30",
          accepted_at=f"{sunday} 00:40", departed_base_at=f"{sunday} 01:20", arrived_referring_at=f"{sunday} 01:40",
          at_patient_at=f"{sunday} 03:00", departed_referring_at=f"{sunday} 03:30", arrived_receiving_at=f"{sunday} 04:30",
          handed_over_at=f"{sunday} 04:40", available_at=f"{sunday} 05:00")
    e.add("settings_edge1", device_id="CV1", recorded_at=f"{sunday}T01:30:00-06:00", mode="simv", interface="tube")
    e.add("settings_edge1", device_id="CV1", recorded_at=f"{sunday}T06:40:00Z", mode="cpap", interface="nasal")
    spring = datetime.date(e.year + 1, 3, 8)
    while spring.weekday() != 6:
        spring += datetime.timedelta(days=1)
    # 02:30 does not exist: the stamp is refused, the transport stays; a settings row at 02:15 is refused.
    e.add("transports_edge2", transport_id="CLK03", ventilator_id="CV3", accepted_at=f"{spring} 00:40",
          departed_base_at=f"{spring} 01:20", arrived_referring_at=f"{spring} 02:30", at_patient_at=f"{spring} 03:10",
          departed_referring_at=f"{spring} 03:40", arrived_receiving_at=f"{spring} 04:30",
          handed_over_at=f"{spring} 04:40", available_at=f"{spring} 05:00")
    for clock in ("01:59:59", "02:15:00", "03:20:00"):
        e.add("settings_edge1", device_id="CV3", recorded_at=f"{spring} {clock}", mode="cpap", interface="nasal")
    year_end_cases(e)


def year_end_cases(e):
    """Months on the wall clock, and transports without any."""
    last = datetime.date(e.year, 12, 31)
    e.add("transports_edge2", transport_id="MON01", accepted_at=f"{last} 23:40", departed_base_at=f"{last} 23:50")
    e.add("transports_edge2", transport_id="MON02", accepted_at=f"{last}T18:30:00-05:30", called_at=f"{last} 17:55")
    e.add("transports_edge2", transport_id="MON03", handover_structured="yes",  # no month
          arrived_receiving_at=f"{last} 20:00", handed_over_at=f"{last} 20:10")
    e.add("transports_edge2", transport_id="MON04", handover_structured="no")  # no stamp at all
    e.add("transports_edge2", transport_id="MON05", disposition="cancelled", called_at=f"{last} 05:00",
          departed_base_at=f"{last} 05:30")
    e.add("events_edge1", transport_id="MON05", kind="crew_injury", event_id="X5")  # went out: counted
    e.add("transports_edge2", transport_id="MON06", disposition="cancelled", called_at=f"{last} 06:00")
    e.add("events_edge1", transport_id="MON06", kind="crew_injury", event_id="X6")  # did not go out


def link_cases(e):
    """Rows of LV1 around two windows 40 min apart, and two that overlap."""
    e.transport("LNK01", {"available_at": "13:30"}, ventilator_id="LV1")       # 10:00 to 13:30
    day = e.case
    e.case -= 1
    e.transport("LNK02", {"called_at": "14:10", "accepted_at": "14:10", "departed_base_at": "14:20",
                          "arrived_referring_at": "14:30", "at_patient_at": "14:35", "departed_referring_at": "15:00",
                          "arrived_receiving_at": "15:30", "handed_over_at": "15:40", "available_at": "16:00"},
                ventilator_id="LV1", file="transports_edge2")                   # 14:10 to 16:00
    e.case -= 1
    e.transport("LNK03", {"called_at": "15:50", "accepted_at": "15:50", "departed_base_at": "15:55",
                          "arrived_referring_at": "16:10", "at_patient_at": "16:15", "departed_referring_at": "16:40",
                          "arrived_receiving_at": "17:00", "handed_over_at": "17:10", "available_at": "17:30"},
                ventilator_id="LV2", file="transports_edge2")                   # 15:50 to 17:30, LV1 among its devices
    e.add("carried_edge1", transport_id="LNK03", device_id="LV1")
    e.add("carried_edge1", transport_id="LNK09", device_id="LV1")              # a transport never heard of
    # 09:30 in, 09:29:59 out; 13:30 in LNK01; 13:49:59 nearer LNK01; 13:50 a tie, so LNK02, which starts later;
    # 15:55 in both: LNK03; 16:05 only LNK03 holds it; 18:00 in, 18:00:01 out.
    for clock in ("09:29:59", "09:30:00", "13:30:00", "13:49:59", "13:50:00", "14:09:00", "15:55:00", "16:05:00",
                  "18:00:00", "18:00:01"):
        e.add("readings_edge1", device_id="LV1", recorded_at=e.at(clock, day), quantity="pip", value="20")
    e.add("alarms_edge1", device_id="LV1", started_at=e.at("13:50:00", day), condition="leak", priority="high")
    e.add("alarms_edge1", device_id="LV9", started_at=e.at("13:50:00", day), condition="leak", priority="high")
    e.transport("LNK04", ventilator_id="LV4", disposition="declined", disposition_reason="no_equipment")
    e.add("readings_edge1", device_id="LV4", recorded_at=e.at("12:00"), quantity="pip", value="20")  # unlinked
    e.add("readings_edge1", transport_id="LNK04", recorded_at=e.at("12:00"), quantity="pip", value="20")  # as it says
    e.transport("LNK05", ventilator_id="LV5", disposition="cancelled")
    e.add("readings_edge1", device_id="LV5", recorded_at=e.at("12:00"), quantity="pip", value="20")  # linked
    e.add("readings_edge1", device_id="LV5", transport_id="LNK09", recorded_at=e.at("12:01"), quantity="pip", value="20")
    # A blank cell counts as empty, a blank around a name does not count; codes and flags in any case.
    e.transport(" LNK06 ", ventilator_id="LV6", disposition=" Completed ", vehicle="ROTOR", urgency=" ")
    e.add("readings_edge1", device_id=" LV6 ", recorded_at=e.at("12:00"), quantity="PIP", value=" 20 ", unit="mmHg")


def refused_cases(e):
    """Rows that are refused, and values on the ends of their ranges."""
    e.transport("REF01", gestation="27+6", weight="200", birth_weight="199.9")   # gestation under 28; one cell refused
    e.transport("REF02", gestation="28+0", weight="150000", age_at_call="6600.5")  # 28 to 31; one cell refused
    e.transport("REF03", gestation="27+7", vehicle="balloon", cooling="perhaps")  # three cells refused
    e.transport("REF04", gestation="36.999", intubation_attempts="1")             # 32 to 36; success empty counts
    e.add("transports_edge1", team="Edge")                                        # no identifier
    for cells in ({"stage": "arrival"}, {"stage": ""}):
        e.add("assessments_edge1", transport_id="REF01", temperature="37", **cells)
    for value, unit, quantity in (("101", "%", "spo2"), ("100", "%", "spo2"), ("nan", "", "spo2"), ("1_000", "", "rate"),
                                  ("1,5", "", "pip"), ("12", "stone", "pip"), ("12", "kg", "pip"), ("", "", "pip")):
        e.add("readings_edge1", transport_id="REF01", device_id="EVX", recorded_at=e.at("12:00"), quantity=quantity,
              value=value, unit=unit)
    for moment in ("epoch", "infinity", "2024-13-01 10:00", "2024-02-30 10:00", "noon", "10:00"):
        e.add("readings_edge1", transport_id="REF01", recorded_at=moment, quantity="pip", value="20")
    for day, kind, text in (("2023-02-29", "change", "x"), ("2024-02-29", "change", ""), ("2024-02-29", "plan", "x")):
        e.add("notes_edge1", noted_on=day, kind=kind, text=text)


def register_cases(e):
    """Service times that overlap, end open, or lie outside a device's own time; a device corrected."""
    day = datetime.date(e.year, 12, 10)
    e.add("devices_edge1", device_id="DV1", kind="pump", in_service_on=f"{e.year}-12-01", retired_on=f"{e.year}-12-31")
    e.add("devices_edge1", device_id="DV2", kind="pump", retired_on=f"{e.year}-12-01")
    e.add("devices_edge2", device_id="DV2", kind="incubator", retired_on=f"{e.year}-12-05")  # corrects the row before
    e.add("devices_edge3", device_id="DV2", kind="pump", retired_on=f"{e.year}-12-01")        # the old one again
    e.add("service_edge1", device_id="DV1", removed_at=f"{day} 08:00", returned_at=f"{day} 20:00", reason="failure")
    e.add("service_edge1", device_id="DV1", removed_at=f"{day} 14:00", returned_at=f"{day} 22:00", reason="preventive")
    e.add("service_edge1", device_id="DV1", removed_at=f"{e.year}-12-30 12:00", reason="failure")  # never returned


def records_of(name, rows):
    """Header and records of an edge file: the columns that any row fills, and those that are required."""
    table = name.split("_")[0]
    columns = [c for c in TABLES[table] if TABLES[table][c].required or any(c in r for r in rows)]
    heads = HEADERS.get(name, {})
    return [[heads.get(c, c) for c in columns]] + [[r.get(c, "") for c in columns] for r in rows]


def edge_files(dice, year):
    """(file name, delimiter, encoding, line end, records) of every edge file."""
    e = Edges(dice, year)
    for cases in (arrivals, supports, alarm_cases, power_cases, readiness_cases, gas_cases, clock_cases, link_cases,
                  refused_cases, register_cases):
        cases(e)
    for name, rows in sorted(e.files.items()):
        delimiter, newline = dice.choice(",;\t"), dice.choice(("\n", "\r\n"))
        records = records_of(name, rows)
        if name == "alarms_edge1":
            yield "alarms_edge2.csv", dice.choice(",;"), "utf-16", "\r\n", records    # the whole file a second time
        yield name + ".csv", delimiter, dice.choice(("utf-8", "utf-8-sig", "utf-16")), newline, records
