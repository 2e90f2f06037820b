package main

import (
	"context"
	"os"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/proof"
	"firstrod/engine/rules"
)

// fileVerdictJSON is what verify FILE found in all.
type fileVerdictJSON struct {
	OK        bool        `json:"ok"`
	File      string      `json:"file"`
	Bore      string      `json:"bore"`
	State     string      `json:"state"`
	Versions  int64       `json:"versions"`
	Records   int64       `json:"records"`
	Releases  int         `json:"releases"`
	Log       string      `json:"log"`
	Size      int64       `json:"log_records"`
	Root      string      `json:"root"`
	Key       string      `json:"key"`
	FirstBad  int64       `json:"first_bad_record"`
	Pinned    bool        `json:"pinned"`
	Witnessed bool        `json:"witnessed"`
	Rerun     int         `json:"judged_again"`
	Proved    []string    `json:"proved"`
	Unproved  []string    `json:"not_proved"`
	Faults    []faultJSON `json:"faults"`
}

// verifyFile checks a proof file. It looks at no data folder.
func (a *app) verifyFile(ctx context.Context, path string, f verifyFlags) error {
	o := proof.Options{Key: f.key}
	var err error
	if f.bore != "" {
		if o.Bore, err = engine.BoreID(f.bore); err != nil {
			return err
		}
	}
	if o.Pins, err = readPins(f.pins); err != nil {
		return err
	}
	if o.Policy, err = readPolicy(f.policy); err != nil {
		return err
	}
	if !f.quick {
		o.Rerun = &rerunner{sets: map[string]*rules.Set{}}
	}
	file, err := os.Open(path)
	if err != nil {
		return &engine.Error{Kind: engine.Usage, Say: "the proof file cannot be read: " + path, Err: err}
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil || info.IsDir() {
		return &engine.Error{Kind: engine.Usage, Say: "the proof file cannot be read: " + path, Err: err}
	}
	faults := []faultJSON{}
	v := proof.Check(ctx, file, info.Size(), o, a.faultTo(&faults))
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return a.reportFile(path, v, faults)
}

// faultTo prints faults as they come, or gathers them for JSON.
func (a *app) faultTo(faults *[]faultJSON) func(ledger.Fault) {
	return func(f ledger.Fault) {
		if a.json {
			*faults = append(*faults, faultJSON{f.Seq, f.Code, f.Say})
			return
		}
		a.printf("FAULT %s: %s\n", f.Code, f.Say)
	}
}

func (a *app) reportFile(path string, v proof.Verdict, faults []faultJSON) error {
	result := error(nil)
	switch {
	case v.Faults > 0:
		result = errDamaged
	case !v.Anchored():
		result = errUnanchored
	}
	if a.json {
		err := a.printJSON(fileVerdictJSON{
			OK: v.Faults == 0, File: path, Bore: v.Bore, State: v.State, Versions: v.Versions, Records: v.Records, Releases: v.Releases,
			Log: v.Signed.Origin, Size: v.Signed.Size, Root: v.Signed.Root.String(), Key: v.Key, FirstBad: v.First,
			Pinned: v.Pinned, Witnessed: v.Witnessed, Rerun: v.Rerun, Proved: notNil(v.Proved), Unproved: notNil(v.Unproved), Faults: faults,
		})
		if err != nil {
			return err
		}
		return result
	}
	if v.Faults > 0 {
		a.printf("DOES NOT VERIFY: %d faults in %s", v.Faults, path)
		if v.First >= 0 {
			a.printf("; the first bad record is %d", v.First)
		}
		a.printf("\n")
		return result
	}
	a.printf("VERIFIED: bore %s, versions 1 to %d, %s after the last of them; checkpoint %s\n\n", v.Bore, v.Versions, v.State, v.Signed.Short())
	a.sentences("Proved:", v.Proved)
	a.sentences("Not proved:", v.Unproved)
	a.printf("Log key: %s\n", v.Key)
	if !v.Anchored() {
		a.printf("\nNEITHER PINNED NOR WITNESSED: only the log's own key speaks for this file. Whoever\n" +
			"holds that key could have signed another history. Hold it against a checkpoint\n" +
			"that was kept elsewhere with --pin FILE, or a policy with --policy FILE.\n")
	}
	return result
}

func (a *app) sentences(title string, lines []string) {
	a.printf("%s\n", title)
	for _, l := range lines {
		a.printf("  - %s\n", l)
	}
	a.printf("\n")
}

// notNil keeps JSON arrays from being null.
func notNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}
