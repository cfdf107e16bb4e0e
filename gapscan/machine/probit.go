package machine

import "math"

// logPhi is the logarithm of the normal distribution function, without
// underflow however far out z lies.
func logPhi(z float64) float64 {
	if z > allIn {
		return 0
	}
	if z > farOut {
		return math.Log(phi(z))
	}
	// Mills' ratio by its asymptotic series.
	// Beyond farOut the first term left out is below 1e-9 of the sum.
	u := 1 / float64(z*z)
	series := 1 - float64(u*(1-float64(3*u*(1-float64(5*u*(1-7*u))))))
	return -0.5*float64(z*z) - math.Log(-z) - logRoot2Pi + math.Log(series)
}

// farOut is where logPhi changes over, in standard deviations: well before
// the distribution function is too small for a float64.
const farOut = -20

// allIn is where the distribution function is 1 to the last bit of a float64.
const allIn = 8.3

var logRoot2Pi = 0.5 * math.Log(2*math.Pi)

// logPhiBetween is the logarithm of the probability between a and b > a.
func logPhiBetween(a, b float64) float64 {
	if a > 0 {
		a, b = -b, -a // in the lower tail nothing cancels
	}
	lb := logPhi(b)
	return lb + math.Log(-math.Expm1(logPhi(a)-lb))
}

// phi is the normal distribution function.
func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
