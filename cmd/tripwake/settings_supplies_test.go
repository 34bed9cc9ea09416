package main

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tripwake/queries"
)

func TestDeviceGasSetting(t *testing.T) {
	var s settings
	if err := takeDeviceGas(&s, "V3 0.1 0.5, Vent 7 0 1"); err != nil {
		t.Fatal(err)
	}
	want := map[string]queries.DeviceGas{"V3": {Leak: 0.1, Bleed: 0.5}, "Vent 7": {Bleed: 1}}
	if !maps.Equal(s.queries.DeviceGas, want) {
		t.Errorf("got %v, want %v", s.queries.DeviceGas, want)
	}
	if back := deviceGasText(want); back != "V3 0.1 0.5, Vent 7 0 1" {
		t.Errorf("written back: got %q", back)
	}
	for _, bad := range []string{"V3", "V3 0.1", "V3 a b", "V3 0.1 0.5,,"} {
		if err := takeDeviceGas(&s, bad); err == nil || !strings.Contains(err.Error(), "expected a device") {
			t.Errorf("%q: got %v", bad, err)
		}
	}
	if err := takeDeviceGas(&s, ""); err != nil || len(s.queries.DeviceGas) != 0 {
		t.Errorf("empty: got %v, %v", s.queries.DeviceGas, err)
	}
	if err := takeCorrection(&s, "yes"); err == nil {
		t.Error("temperature_correction yes: got no error")
	}
}

// The file may hold devices and cylinder sizes as a map or as the text that flags take.
func TestSupplySettingsOfAFile(t *testing.T) {
	p := newPlace(t)
	file := "device_gas: {V3: \"0.1 0.5\", ventilator: 0 0.3}\ncylinder_factors: \"E 0.35\"\ntemperature_correction: true\n"
	if err := os.WriteFile(filepath.Join(p.dir, settingsFile), []byte(file), 0o600); err != nil {
		t.Fatal(err)
	}
	out := p.good("settings")
	for _, want := range []string{"V3 0.1 0.5, VENTILATOR 0 0.3", "E: 0.35", "temperature_correction: \"true\""} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not in the settings:\n%s", want, out)
		}
	}
}
