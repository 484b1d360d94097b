package tiny

import "testing"

func TestLarger(t *testing.T) {
	if limit != 7 || larger(2, 1) != 2 || larger(1, 2) != 2 {
		t.Error("larger")
	}
}

func TestTotal(t *testing.T) {
	if total(3) != 6 {
		t.Error("total")
	}
}

func TestRest(t *testing.T) {
	if n := (pair[int]{}).size("", 1, 2); n != 2 {
		t.Error("size")
	}
	if s, ok := first("x", "y"); s != "x" || !ok {
		t.Error("first")
	}
	if _, ok := first[int](); ok {
		t.Error("first of none")
	}
}
