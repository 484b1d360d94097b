//go:build unix

package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"example.com/keyorder/examples/internal/output"
)

// TestInterrupted stops the program in the middle of a first and a second set
// of files, by each signal that asks for it.
func TestInterrupted(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	for round, signal := range append(output.Stops(), output.Stops()...) {
		if round == len(output.Stops()) {
			if _, errs, status := sheetOf("-out", dir); status != 0 {
				t.Fatal(errs)
			}
		}
		before := names(t, dir)
		c, errs := program("-out", dir, "-orders", "all")
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		begun := filepath.Join(filepath.Dir(dir), ".out.writing", "new", "01-up-by-half-steps.wav")
		for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(time.Millisecond) {
			if _, err := os.Stat(begun); err == nil {
				break
			} else if time.Now().After(deadline) {
				t.Fatalf("nothing is begun: %s", errs)
			}
		}
		if err := c.Process.Signal(signal); err != nil {
			t.Fatal(err)
		}
		c.Wait()
		if status := c.ProcessState.ExitCode(); status != 1 || errs.String() != "sheet: interrupted; no file was written\n" {
			t.Errorf("%v: status %d, %s", signal, status, errs)
		}
		if after := names(t, dir); after != before {
			t.Errorf("%v: there is\n%s\nand there was\n%s", signal, after, before)
		}
	}
}
