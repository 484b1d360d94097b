package cycle_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	. "example.com/keyorder/cycle"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// A row is the keys of an order.
type row = [12]pitch.Class

// plainRows is plain backtracking: all orders of n keys modulo n from the
// first key 0 whose moves are all different, in ascending order.
func plainRows(n int, yield func(keys []int)) {
	keys := make([]int, n)
	played, made := make([]bool, n), make([]bool, n)
	var place func(at int)
	place = func(at int) {
		if at == n {
			yield(keys)
			return
		}
		for k := 1; k < n; k++ {
			step := k - keys[at-1]
			if step < 0 {
				step += n
			}
			if played[k] || made[step] {
				continue
			}
			keys[at], played[k], made[step] = k, true, true
			place(at + 1)
			played[k], made[step] = false, false
		}
	}
	place(1)
}

func allRows() []row {
	var all []row
	for o := range AllInterval(0) {
		all = append(all, o.Keys())
	}
	return all
}

// counting returns the value of a row of testdata/counting.tsv, whose source
// stands in the same row.
func counting(t *testing.T, topic, item string) string {
	t.Helper()
	for _, c := range figuretest.Table(t, "testdata/counting.tsv") {
		if c["topic"] == topic && c["item"] == item {
			return c["value"]
		}
	}
	t.Fatalf("no row %s, %s", topic, item)
	return ""
}

// TestLawAllIntervalIsComplete compares with plain backtracking, from all
// twelve keys, and checks the definition and the last key (the interval from
// first to last: "interval from first to last note" in testdata/counting.tsv).
func TestLawAllIntervalIsComplete(t *testing.T) {
	var want []row
	plainRows(12, func(keys []int) {
		var r row
		for n, k := range keys {
			r[n] = pitch.Class(k)
		}
		want = append(want, r)
	})
	last, _ := strconv.Atoi(counting(t, "all-interval rows", "interval from first to last note"))
	for first := range pitch.Class(12) {
		n := 0
		for o := range AllInterval(first) {
			if n == len(want) {
				t.Fatal("too many orders")
			}
			for place, k := range o.Keys() {
				if k != want[n][place].T(int(first)) {
					t.Fatalf("from %v, order %d is %v, want %v up by %v", first, n, o, want[n], first)
				}
			}
			n++
			if again, err := Of(slices.Collect(values(o))...); err != nil || again != o {
				t.Fatalf("%v is no order in one run: %v", o, err)
			}
			var made [12]bool
			for m := range o.Moves(false) {
				if made[m.Semitones()] {
					t.Fatalf("%v makes an interval twice", o)
				}
				made[m.Semitones()] = true
			}
			if !o.IsAllInterval() {
				t.Fatalf("%v is not all-interval", o)
			}
			if (Move{first, o.Keys()[11]}).Semitones() != last {
				t.Fatalf("%v does not end a tritone from its first key", o)
			}
		}
		if n != len(want) {
			t.Fatalf("from %v: %d orders, want %d", first, n, len(want))
		}
	}
	if o := slices.Collect(AllInterval(14)); len(o) != len(want) || o[0].Keys()[0] != 2 {
		t.Error("a first key above 11 is not taken modulo 12")
	}
}

func values(o Order) func(func(pitch.Class) bool) {
	keys := o.Keys()
	return slices.Values(keys[:])
}

// TestLawInversionIsThePlaceFromTheEnd checks what the doc says of the order in
// which the rows come.
func TestLawInversionIsThePlaceFromTheEnd(t *testing.T) {
	all := allRows()
	if !slices.IsSortedFunc(all, func(a, b row) int { return slices.Compare(a[:], b[:]) }) {
		t.Error("the orders do not ascend")
	}
	for n, r := range all {
		if inverted(r) != all[len(all)-1-n] {
			t.Errorf("order %d is %v, %d from the end %v", n, r, n, all[len(all)-1-n])
		}
	}
}

// The operations on rows from C, each with the first key put back to C: by the
// textbooks inversion I, retrograde R, multiplication by five M5, and Q, which
// begins the row after its tritone.
func times(r row, by int) row {
	for n := range r {
		r[n] = pitch.ClassOf(int(r[n]) * by)
	}
	return fromC(r)
}

func fromC(r row) row {
	first := int(r[0])
	for n := range r {
		r[n] = r[n].T(-first)
	}
	return r
}

func inverted(r row) row   { return times(r, -1) }
func fiveTimes(r row) row  { return times(r, 5) }
func retrograde(r row) row { slices.Reverse(r[:]); return fromC(r) }
func afterTritone(r row) (q row) {
	for n := range 11 {
		if (Move{r[n], r[n+1]}).Semitones() == 6 {
			copy(q[copy(q[:], r[n+1:]):], r[:n+1])
		}
	}
	return fromC(q)
}

// classes counts the rows up to the operations.
func classes(t *testing.T, rows []row, operations ...func(row) row) int {
	index := map[row]int{}
	for n, r := range rows {
		index[r] = n
	}
	parent := make([]int, len(rows))
	for n := range parent {
		parent[n] = n
	}
	root := func(n int) int {
		for parent[n] != n {
			n = parent[n]
		}
		return n
	}
	count := len(rows)
	for n, r := range rows {
		for _, f := range operations {
			m, ok := index[f(r)]
			if !ok {
				t.Fatalf("%v becomes %v, which is not there", r, f(r))
			}
			if a, b := root(n), root(m); a != b {
				parent[a] = b
				count--
			}
		}
	}
	return count
}

// TestTableAllInterval checks the rows on all-interval orders in
// testdata/counting.tsv, with their sources there: OEIS A141599, A155914,
// A067601 and A215606; Bauer-Mengelberg and Ferentz 1965; Morris and Starr
// 1974; those up to M5 and Q were found by brute force when the table was made.
func TestTableAllInterval(t *testing.T) {
	rows := allRows()
	const topic = "all-interval rows"
	check := func(topic, item string, got any) {
		t.Helper()
		if want := counting(t, topic, item); fmt.Sprint(got) != want {
			t.Errorf("%s, %s: %v, want %s", topic, item, got, want)
		}
	}
	for n := 2; n <= 10; n += 2 { // the plain version itself, against the published row
		count := 0
		plainRows(n, func([]int) { count++ })
		check("all-interval rows (first note fixed)", fmt.Sprintf("n=%d", n), count)
	}
	check("all-interval rows (first note fixed)", "n=12", len(rows))
	check(topic, "n=12, first note fixed", len(rows))
	every := map[Order]bool{}
	for k := range pitch.Class(12) {
		for o := range AllInterval(k) {
			every[o] = true
		}
	}
	check(topic, "n=12, all 12 transpositions", len(every))

	I, R, M5, Q := inverted, retrograde, fiveTimes, afterTritone
	check(topic, "up to T and I", classes(t, rows, I))
	check(topic, "up to T and R", classes(t, rows, R))
	check(topic, "up to T, I and R", classes(t, rows, I, R))
	check(topic, "up to T and M5", classes(t, rows, M5))
	check(topic, "up to T, I, M5", classes(t, rows, I, M5))
	check(topic, "up to T, I, R, M5", classes(t, rows, I, R, M5))
	check(topic, "up to T, I, Q", classes(t, rows, I, Q))
	check(topic, "up to T, I, R, Q", classes(t, rows, I, R, Q))
	same := 0
	for _, r := range rows {
		if R(r) == r {
			same++
		}
	}
	if same != 176 { // the note beside "up to T and R"
		t.Errorf("%d rows are their own retrograde, want 176", same)
	}

	var example []pitch.Class
	for _, k := range strings.Fields(counting(t, topic, "example (Klein, Mutterakkord)")) {
		c, err := pitch.ParseClass(k)
		if err != nil {
			t.Fatal(err)
		}
		example = append(example, c)
	}
	o, err := Of(example...)
	switch {
	case err != nil:
		t.Errorf("the published example %v is not among the orders: %v: an error", o, err)
	case !o.IsAllInterval():
		t.Errorf("the published example %v is not among the orders: %v: it is not all-interval", o, err)
	case !slices.Contains(rows, o.Keys()):
		t.Errorf("the published example %v is not among the orders: %v: it is none of the rows", o, err)
	}
	var steps []int
	for m := range o.Moves(false) {
		steps = append(steps, m.Semitones())
	}
	if diff := cmp.Diff([]int{11, 8, 9, 10, 7, 6, 5, 2, 3, 4, 1}, steps); diff != "" { // in the same row
		t.Error(diff)
	}

	cyclic := map[row]bool{} // the intervals round the closed order, from every place
	for _, r := range rows {
		var steps row
		for n, k := range r {
			steps[n] = pitch.Class(Move{k, r[(n+1)%12]}.Semitones())
		}
		for range steps {
			first := steps[0]
			copy(steps[:], steps[1:])
			steps[11] = first
			cyclic[steps] = true
		}
	}
	check(topic, "cyclic interval sequences with 11 distinct intervals", len(cyclic))
}

// inOneRun returns the order of the keys in one cycle.
func inOneRun(keys row) Order {
	o, err := Of(keys[:]...)
	if err != nil {
		panic(err)
	}
	return o
}

func TestLawIsAllInterval(t *testing.T) {
	all := allRows()
	rows := map[row]bool{}
	for _, r := range all {
		rows[r] = true
	}
	if (Order{}).IsAllInterval() {
		t.Error("the zero value is all-interval")
	}
	rapid.Check(t, func(t *rapid.T) {
		o := drawn(figuretest.Order).Draw(t, "order")
		if rapid.Bool().Draw(t, "one run") {
			o = inOneRun(o.Keys())
		}
		if want := o.Cycles() == 1 && rows[fromC(o.Keys())]; o.IsAllInterval() != want {
			t.Fatalf("%v all-interval: %v, want %v", o, o.IsAllInterval(), want)
		}
		// one of the rows, transposed, begun elsewhere, two keys exchanged, and cut
		r := all[rapid.IntRange(0, len(all)-1).Draw(t, "row")]
		o, err := Of(r[:]...)
		if o = o.From(o.Keys()[rapid.IntRange(0, 11).Draw(t, "first")]); err != nil || !o.IsAllInterval() {
			t.Fatalf("%v is not all-interval, %v", o, err)
		}
		keys := o.Keys()
		begin := rapid.IntRange(0, 11).Draw(t, "begin")
		turned := inOneRun(row(slices.Concat(keys[begin:], keys[:begin])))
		if want := rows[fromC(turned.Keys())]; turned.IsAllInterval() != want {
			t.Fatalf("%v all-interval: %v, want %v", turned, turned.IsAllInterval(), want)
		}
		a, b := rapid.IntRange(0, 11).Draw(t, "a"), rapid.IntRange(0, 11).Draw(t, "b")
		keys[a], keys[b] = keys[b], keys[a]
		o = inOneRun(keys)
		if want := rows[fromC(o.Keys())]; o.IsAllInterval() != want {
			t.Fatalf("%v all-interval: %v, want %v", o, o.IsAllInterval(), want)
		}
		cut := rapid.IntRange(1, 11).Draw(t, "cut")
		o = MustParse(o.String()[:cut] + "/" + o.String()[cut:])
		if o.IsAllInterval() {
			t.Fatalf("%v is all-interval", o)
		}
	})
}

// TestLawNumbersCountTheOrders: an order's number is its place, and the order
// with the number is the order, from every first key.
func TestLawNumbersCountTheOrders(t *testing.T) {
	n := 0
	for o := range AllInterval(0) {
		n++
		first := pitch.Class(n % 12)
		at, err := AllIntervalAt(n, first)
		if err != nil || at != o.From(first) {
			t.Fatalf("number %d from %v is %v, want %v: %v", n, first, at, o.From(first), err)
		}
		if n%5 == 1 { // every fifth, and with it the first and the last
			if back := at.AllIntervalNumber(); back != n {
				t.Fatalf("the number of %v is %d, want %d", at, back, n)
			}
		}
	}
	if n != AllIntervalCount {
		t.Errorf("%d orders, want %d", n, AllIntervalCount)
	}
	for _, n := range []int{0, -1, AllIntervalCount + 1} {
		o, err := AllIntervalAt(n, 0)
		var value *fault.ValueError
		switch {
		case !errors.As(err, &value):
			t.Errorf("%d: %v, %v: no such error", n, o, err)
		case value.Value != strconv.Itoa(n):
			t.Errorf("%d: %v, %v: it names another value", n, o, err)
		case !strings.Contains(err.Error(), "numbered 1 to 3856"):
			t.Errorf("%d: %v, %v: it does not say which numbers there are", n, o, err)
		case o.IsValid():
			t.Errorf("%d: %v, %v: there is an order all the same", n, o, err)
		}
	}
	for _, o := range []Order{{}, MustParse("P4"), MustParse("m3")} {
		if n := o.AllIntervalNumber(); n != 0 {
			t.Errorf("%v has the number %d", o, n)
		}
	}
	if o, _ := AllIntervalAt(7, 14); o.Keys()[0] != 2 || o.AllIntervalNumber() != 7 {
		t.Errorf("from key 14: %v", o)
	}
}

func TestAllIntervalStopsEarly(t *testing.T) {
	for _, stop := range []int{1, 2, 7, 3855, 3856} {
		n := 0
		for range AllInterval(3) {
			if n++; n == stop {
				break
			}
		}
		if n != stop {
			t.Errorf("stopped after %d, want %d", n, stop)
		}
	}
}

func TestAllIntervalDoesNotAllocate(t *testing.T) {
	n := 0
	if got := testing.AllocsPerRun(5, func() {
		for o := range AllInterval(0) {
			n += int(o.Keys()[1])
		}
	}); got != 0 {
		t.Errorf("%v allocations", got)
	}
}

// TestTableWedge compares with the first row of the zigzag square in
// testdata/counting.tsv (Williams 1949; Gordon 1961; Gilbert 1965) and with the
// differences in its note.
func TestTableWedge(t *testing.T) {
	o := Wedge()
	keys := o.Keys()
	if got, want := strings.Trim(fmt.Sprintf("%d", keys), "[]"), counting(t, "row-complete Latin squares", "n=12 first row"); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	var steps []int
	for m := range o.Moves(false) {
		steps = append(steps, m.Semitones())
	}
	if diff := cmp.Diff([]int{11, 2, 9, 4, 7, 6, 5, 8, 3, 10, 1}, steps); diff != "" {
		t.Error(diff)
	}
	for n, step := range steps { // up and down in turn, each a half step smaller
		if want := []int{11 - n, n + 1}[n%2]; step != want {
			t.Errorf("move %d is %d up, want %d", n+1, step, want)
		}
	}
	for n, k := range keys { // "0 n-1 1 n-2 2 ..." in the row above
		if want := []int{n / 2, 12 - (n+1)/2}[n%2]; int(k) != want {
			t.Errorf("place %d is %v, want %d", n, k, want)
		}
	}
	if !o.IsAllInterval() {
		t.Error("not all-interval")
	}
}

// TestLawBySignatureIsTheWedgeTimesSeven checks the order against the wedge and
// against the signatures of the major and minor keys (common practice, no
// source), as package spelling has them.
func TestLawBySignatureIsTheWedgeTimesSeven(t *testing.T) {
	o := BySignature()
	switch {
	case times(Wedge().Keys(), 7) != o.Keys():
		t.Errorf("%v is not the wedge times 7: its keys are others", o)
	case !o.IsAllInterval():
		t.Errorf("%v is not the wedge times 7: it is not all-interval", o)
	case o.Cycles() != 1:
		t.Errorf("%v is not the wedge times 7: it has %d cycles", o, o.Cycles())
	}
	var names []string
	for n, k := range o.Keys() {
		q := (n + 1) / 2 // accidentals: none, one, one, two, two, …
		if n%2 == 1 {
			q = -q // flats before sharps
		}
		if name := spelling.Name(q); name.Class() != k {
			t.Errorf("place %d: %v, want %v, %d places on the line of fifths", n, k, name, q)
		} else {
			names = append(names, name.String())
		}
		minor := o.From(9).Keys()[n]
		if name := spelling.Name(q + 3); name.Class() != minor { // three places above its relative major
			t.Errorf("place %d: %v minor, want %v", n, minor, name)
		}
	}
	if diff := cmp.Diff("C F G B♭ D E♭ A A♭ E D♭ B G♭", strings.Join(names, " ")); diff != "" {
		t.Error(diff)
	}
}

func BenchmarkAllInterval(b *testing.B) {
	b.ReportAllocs()
	for range b.N {
		n := 0
		for o := range AllInterval(0) {
			n += o.Cycles()
		}
		if n != 3856 {
			b.Fatal(n)
		}
	}
}

func BenchmarkAllIntervalNumber(b *testing.B) {
	b.ReportAllocs()
	for n := range b.N {
		if o, err := AllIntervalAt(n%AllIntervalCount+1, 0); err != nil || o.AllIntervalNumber() == 0 {
			b.Fatal(o, err)
		}
	}
}

func BenchmarkAllIntervalPlain(b *testing.B) {
	b.ReportAllocs()
	for range b.N {
		n := 0
		plainRows(12, func([]int) { n++ })
		if n != 3856 {
			b.Fatal(n)
		}
	}
}
