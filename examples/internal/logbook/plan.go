package logbook

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
)

// A Kept is the plan that was shown last, as it is kept beside the log: what is
// recorded is recorded of this plan, and its figures, instrument and settings go
// on until the player names others.
type Kept struct {
	Version int `json:"version"`
	// Shown is the day on which a plan with its cautions was shown last.
	Shown practice.Date `json:"shown"`
	Plan  practice.Plan `json:"plan"`
}

const keptVersion = 1

// KeptPath returns where the plan of a log is kept.
func KeptPath(log string) string { return log + ".plan" }

// Keep keeps a plan in the place of the one before.
func Keep(log string, k Kept) error {
	k.Version = keptVersion
	text, err := json.MarshalIndent(k, "", " ")
	if err != nil {
		return fmt.Errorf("the plan is not kept: %w", err)
	}
	if err := disk.WriteFile(KeptPath(log), append(text, '\n')); err != nil {
		return fmt.Errorf("the plan is not kept: %w", err)
	}
	return nil
}

// ReadKept returns the plan that is kept for a log, and whether there is one.
func ReadKept(log string) (k Kept, ok bool, err error) {
	path := KeptPath(log)
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Kept{}, false, nil
	} else if err != nil {
		return Kept{}, false, err
	}
	if err = json.Unmarshal(text, &k); err == nil {
		err = k.check()
	}
	if err != nil {
		return Kept{}, false, fmt.Errorf("%s: the plan that was shown last is not read: %w; move the file away to begin anew", path, err)
	}
	return k, true, nil
}

// check refuses what no program that keeps plans has written.
func (k *Kept) check() error {
	if k.Version != keptVersion {
		return fmt.Errorf("its version is %d, not %d", k.Version, keptVersion)
	}
	s := k.Plan.Settings
	if _, err := practice.NewPlan(s, practice.Log{}); err != nil {
		return err
	}
	for _, b := range k.Plan.Blocks {
		if b.Pause {
			continue
		}
		if len(b.Drill.Parts) != 1 || b.Drill.Parts[0] != s.Instrument {
			return fmt.Errorf("block %d is not for the %s", b.Number, s.Instrument.Name)
		}
		if _, err := drill.New(b.Drill); err != nil {
			return fmt.Errorf("block %d: %w", b.Number, err)
		}
	}
	return nil
}

// Figure returns the figure of a name in the plan, in any case.
func (k *Kept) Figure(name string) (practice.Idea, bool) {
	for _, i := range k.Plan.Settings.Ideas {
		if strings.EqualFold(i.Name, strings.TrimSpace(name)) {
			return i, true
		}
	}
	return practice.Idea{}, false
}

// Block returns the block of a number, with the place that it has in the plan.
func (k *Kept) Block(number int) (place int, ok bool) {
	for n, b := range k.Plan.Blocks {
		if !b.Pause && b.Number == number {
			return n, true
		}
	}
	return 0, false
}

// Blocks counts the blocks of the plan, pauses left out.
func (k *Kept) Blocks() int {
	n := 0
	for _, b := range k.Plan.Blocks {
		n = max(n, b.Number)
	}
	return n
}
