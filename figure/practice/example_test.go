package practice_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

func Example() {
	trumpet, _ := drill.Find("trumpet", drill.LevelComfortable)
	day := practice.MustParseDate("2025-03-02")
	plan, err := practice.NewPlan(practice.Settings{
		Ideas: []practice.Idea{
			{Name: "steps", Figure: figure.MustParse("1 3 2 5")},
			{Name: "turn", Figure: figure.MustParse("4 2 5 1:2 in dorian")},
		},
		Date: day, Minutes: 6, Instrument: trumpet, Stage: practice.StageConstantOrders,
	}, practice.Log{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range plan.Blocks {
		fmt.Printf("%v %-5s %-3s %v at %d\n", b.Start, b.Drill.Title, b.Order, b.Drill.Route, b.Drill.Tempo)
	}
	fmt.Println("keys: ", plan.Blocks[0].Why.Keys)
	fmt.Println("tempo:", plan.Blocks[0].Why.Tempo)
	fmt.Println("rest: ", plan.Blocks[0].Why.Rest)
	// Output:
	// 0s steps -M3 (840)/(951)/(T62)/(E73) at 80
	// 1m46s turn  M3  (480)/(591)/(6T2)/(7E3) at 80
	// 3m32s steps -M2 (420T86)/(531E97) at 80
	// 5m6s turn  -m2 9876543 at 80
	// keys:  12 of its 12 moves were never made
	// tempo: to begin with: slow enough to hear the next key first
	// rest:  as much as playing, for brass
}

// A player takes the circle of fourths every day for twelve days, another
// follows the plan for two minutes a day, in which that circle fits once.
func Example_rut() {
	flute, _ := drill.Find("flute", drill.LevelComfortable)
	day := practice.MustParseDate("2025-03-02")
	idea := practice.Idea{Figure: figure.MustParse("1 3 2 5"), Goal: 80} // and never faster

	var rut, plans cycle.Tally
	var log practice.Log
	for range 12 {
		rut.AddAll(cycle.By(interval.PerfectFourth).Closed().Moves())

		plan, _ := practice.NewPlan(practice.Settings{
			Ideas: []practice.Idea{idea}, Date: day, Minutes: 2, Instrument: flute, Stage: practice.StageMixedRows,
		}, log)
		for n := range plan.Blocks {
			log.Entries = append(log.Entries, plan.Entry(n)) // played, and clean
		}
		for _, route := range plan.Routes() {
			plans.AddAll(route.Moves())
		}
		day++
	}
	fmt.Printf("always fourths: %3d moves of 132, %.2f bits\n", rut.Made(), rut.IntervalEntropy())
	fmt.Printf("by the plan:    %3d moves of 132, %.2f bits of %.2f\n", plans.Made(), plans.IntervalEntropy(), cycle.MaxIntervalEntropy)
	// Output:
	// always fourths:  12 moves of 132, 0.00 bits
	// by the plan:    132 moves of 132, 3.46 bits of 3.46
}

// A screen in another language makes its own words of a reason's numbers.
func ExampleReason() {
	flute, _ := drill.Find("flute", drill.LevelComfortable)
	meter, _ := drill.ParseMeter("3/4")
	s := practice.Settings{
		Ideas: []practice.Idea{{Figure: figure.MustParse("3 5 1 6"), Meter: meter}},
		Date:  practice.MustParseDate("2025-03-02"), Instrument: flute,
	}
	var log practice.Log
	for range 2 {
		plan, _ := practice.NewPlan(s, log)
		log.Entries = append(log.Entries, plan.Entry(0)) // played, and clean
		s.Date++
	}
	plan, _ := practice.NewPlan(s, log)

	why := plan.Blocks[0].Why.Tempo
	fmt.Println(why)
	switch why.Cause {
	case practice.CauseBegin:
		fmt.Println("zum Anfang")
	case practice.CauseFaster:
		fmt.Printf("%d von %d sauber bei %d: %d schneller\n", why.Count, why.Of, why.Tempo, why.By)
	}
	// Output:
	// 12 of 12 clean at 80, on two days in a row: 4 faster
	// 12 von 12 sauber bei 80: 4 schneller
}

func ExampleEntry_Validate() {
	e := practice.Entry{
		Date: practice.MustParseDate("2025-03-02"), Figure: figure.MustParse("3 5 1 6"), Route: cycle.By(interval.MinorThird).Closed(),
		Instrument: "flute", First: spelling.MustParse("C5"), Tempo: 80, Clean: 17, Played: 15,
	}
	err := e.Validate()
	fmt.Println(err)

	var refused *fault.ValueError
	if errors.As(err, &refused) {
		fmt.Println("mend", refused.Setting)
	}
	// Output:
	// clean 17: there are 0 to 15 clean statements
	// mend clean
}

func ExampleMoveList() {
	var failed practice.MoveList // as a database keeps it
	err := failed.UnmarshalText([]byte("14 9T"))
	for _, m := range failed {
		fmt.Println("from", m.From, "to", m.To)
	}
	fmt.Println(failed, err)
	// Output:
	// from 1 to 4
	// from 9 to T
	// 14 9T <nil>
}

func ExampleAppendEntry() {
	day := practice.MustParseDate("2025-03-02")
	e := practice.Entry{
		Date: day, Figure: figure.MustParse("1 3 2 5"), Order: "A4", Route: cycle.By(interval.AugmentedFourth).Closed(),
		Instrument: "flute", First: spelling.MustParse("C5"), Stage: practice.StageConstantOrders, Tempo: 80, Clean: 17, Played: 18,
		FailedMoves: []cycle.Move{{From: 4, To: 10}},
	}
	if err := practice.AppendEntry(os.Stdout, e); err != nil {
		fmt.Println(err)
	}
	// Output:
	// {"version":2,"date":"2025-03-02","figure":"1 3 2 5","order":"A4","keys":"(06)/(17)/(28)/(39)/(4T)/(5E)","instrument":"flute","first":"C5","stage":"constant orders","tempo":80,"rest":"a bar","clean":17,"statements":18,"failed_moves":"4T"}
}

func ExampleRead() {
	log, err := practice.Read(strings.NewReader(
		`{"version":1,"date":"2025-03-02","figure":"1 2 3","keys":"05T","instrument":"flute","first":"C5","stage":"few keys","tempo":60,"rest":"a bar","clean":2,"statements":3,"failed_keys":"T"}
{"version":1,"date":"yesterday"}
{"version":1,"date":"2025-03-03","figure":"1 2 3","keys":"T5`))
	fmt.Println(len(log.Entries), "entry", err)
	for m, clean := range log.Entries[0].Moves() {
		fmt.Println("from", m.From, "to", m.To, "clean:", clean)
	}
	for _, p := range log.Problems {
		fmt.Println(p.Line, p.Err)
	}
	fmt.Printf("set aside: %d bytes, after %d\n", len(log.Torn), log.Whole)
	// Output:
	// 1 entry <nil>
	// from 0 to 5 clean: true
	// from 5 to T clean: false
	// 2 date "yesterday": a date is a day of the calendar from the year 1 on, as 2025-03-02
	// set aside: 60 bytes, after 219
}

func ExampleLog_Tally() {
	var file bytes.Buffer
	day := practice.MustParseDate("2025-03-02")
	e := practice.Entry{
		Date: day, Figure: figure.MustParse("1 2 3"), Route: cycle.By(interval.MinorThird).Closed(),
		Instrument: "flute", First: spelling.MustParse("C5"), Tempo: 80, Clean: 14, Played: 15,
		FailedMoves: []cycle.Move{{From: 0, To: 3}},
	}
	practice.AppendEntry(&file, e)
	log, _ := practice.Read(&file)
	clean, failed := log.Tally("flute")
	fmt.Println("clean: ", clean)
	fmt.Println("failed:", failed)
	// Output:
	// clean:  14 25 36 47 58 69 7T 8E 90 T1 E2
	// failed: 03
}
