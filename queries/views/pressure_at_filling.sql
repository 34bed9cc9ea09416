-- answers: which gauge pressure would a cylinder have shown at the temperature at which its contents are told?
-- grain: a macro; kPa, unchanged unless temperature_correction is set and both temperatures are recorded
-- parameters: gauge pressure in kPa, the cylinder's temperature then and at its other reading, in Cel
create or replace temp macro pressure_at_filling(gauge, temperature, other) as if(
  setting_temperature_correction() = 1 and temperature is not null and other is not null,
  (gauge + 101.325) * (setting_contents_temperature() + 273.15) / (temperature + 273.15) - 101.325,
  gauge
)
