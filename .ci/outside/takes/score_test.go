package takes

import (
	"math"
	"testing"
)

// TestMost: the most is the least number at which the binomial distribution, added
// up in another way, reaches what is asked.
func TestMost(t *testing.T) {
	for _, n := range []int{0, 1, 10, 42, 500} {
		for _, p := range []float64{0.01, 0.05, 0.1, 0.5} {
			below := func(k int) (sum float64) { // the probability of k or fewer
				for i := 0; i <= k; i++ {
					a, _ := math.Lgamma(float64(n) + 1)
					b, _ := math.Lgamma(float64(i) + 1)
					c, _ := math.Lgamma(float64(n-i) + 1)
					sum += math.Exp(a - b - c + float64(i)*math.Log(p) + float64(n-i)*math.Log(1-p))
				}
				return sum + 1e-12
			}
			k := Most(n, p, 0.99)
			if below(k) < 0.99 || k > 0 && below(k-1) >= 0.99 {
				t.Errorf("Most(%d, %v) is %d, where %v and %v", n, p, k, below(k-1), below(k))
			}
		}
	}
	if k := Most(42, 0.01, 0.99); k != 2 { // 0.656 + 0.278 + 0.058
		t.Error(k)
	}
}
