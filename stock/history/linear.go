package history

import "math"

// symmetric is a symmetric matrix, by rows.
type symmetric struct {
	n  int
	at []float64
}

func newSymmetric(n int) symmetric { return symmetric{n, make([]float64, n*n)} }

func (s symmetric) add(i, j int, x float64) { s.at[i*s.n+j] += x }

// cholesky is the lower triangle L of a matrix L·Lᵀ.
type cholesky struct{ symmetric }

// factor takes a positive definite matrix apart; what rounding leaves below zero on the
// diagonal counts as next to nothing.
func factor(m symmetric) *cholesky {
	l := newSymmetric(m.n)
	for i := range m.n {
		for j := 0; j <= i; j++ {
			sum := m.at[i*m.n+j]
			for k := range j {
				sum -= l.at[i*m.n+k] * l.at[j*m.n+k]
			}
			if i == j {
				l.at[i*m.n+i] = math.Sqrt(max(sum, 1e-12))
			} else {
				l.at[i*m.n+j] = sum / l.at[j*m.n+j]
			}
		}
	}
	return &cholesky{l}
}

// forward solves L·y = b.
func (c *cholesky) forward(b []float64) []float64 {
	y := make([]float64, c.n)
	for i := range y {
		sum := b[i]
		for k := range i {
			sum -= c.at[i*c.n+k] * y[k]
		}
		y[i] = sum / c.at[i*c.n+i]
	}
	return y
}

// back solves Lᵀ·x = y.
func (c *cholesky) back(y []float64) []float64 {
	x := make([]float64, c.n)
	for i := c.n - 1; i >= 0; i-- {
		sum := y[i]
		for k := i + 1; k < c.n; k++ {
			sum -= c.at[k*c.n+i] * x[k]
		}
		x[i] = sum / c.at[i*c.n+i]
	}
	return x
}

// solve solves L·Lᵀ·x = b.
func (c *cholesky) solve(b []float64) []float64 { return c.back(c.forward(b)) }

// variance is bᵀ·(L·Lᵀ)⁻¹·b.
func (c *cholesky) variance(b []float64) float64 {
	sum := 0.0
	for _, y := range c.forward(b) {
		sum += y * y
	}
	return sum
}

// times is L·z.
func (c *cholesky) times(z []float64) []float64 {
	x := make([]float64, c.n)
	for i := range x {
		for k := 0; k <= i; k++ {
			x[i] += c.at[i*c.n+k] * z[k]
		}
	}
	return x
}
