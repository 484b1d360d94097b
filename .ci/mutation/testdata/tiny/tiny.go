// Package tiny has tests with holes that are known: the tests of the program
// that looks for holes hold it against them.
package tiny

// limit has its value before any test runs.
var limit = larger(3, 7)

// larger is tested, but for which of two equal numbers it returns.
func larger(a, b int) int {
	if a > b {
		return a
	}
	return b
}

// total never ends if the step goes the other way.
func total(n int) (sum int) {
	for k := n; k > 0; k-- {
		sum += k
	}
	return sum
}

// A pair has a method whose receiver has no name.
type pair[T any] struct{ a, b T }

func (pair[T]) size(_ string, _ ...int) int { return 2 }

func first[T any](list ...T) (_ T, ok bool) {
	if len(list) == 0 {
		return
	}
	return list[0], true
}

const most = 9

// everything has a mutant of each kind, and no test.
func everything(n int, list [4]int, word string, any interface{}) (out []int) {
	const twice = 2
	if !(n < most) || word == "one"+"two" {
		return nil
	}
	switch n {
	case 1, 2:
		out = append(out, -n)
	case 'x':
		n++
	}
	switch any.(type) {
	case int:
		n &= list[n%twice] << 3
	}
	switch {
	case n <= 5:
		println(0x10, 1.5)
	}
	for range list {
		if n > 3 {
			continue
		}
		n -= 2
	}
	return append(out, n)
}
