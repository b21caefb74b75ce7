package lash

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// linearFit is a solved linear least-squares problem.
type linearFit struct {
	coefficients []float64
	deviations   []float64 // standard deviation of each coefficient; zero without spare rows
	rss          float64   // residual sum of squares
}

// errUnderdetermined says that the rows do not tell the coefficients apart.
var errUnderdetermined = errors.New("least squares: the rows do not tell the coefficients apart")

// worstCondition is the largest condition number that a fit is trusted at.
const worstCondition = 1e10

// leastSquares fits y ≈ design·coefficients by QR. It errs where there are fewer
// rows than columns or the columns are not independent.
func leastSquares(design [][]float64, y []float64) (linearFit, error) {
	rows, columns := len(design), len(design[0])
	if rows < columns {
		return linearFit{}, errUnderdetermined
	}
	a := mat.NewDense(rows, columns, nil)
	for i, row := range design {
		a.SetRow(i, row)
	}
	var qr mat.QR
	qr.Factorize(a)
	if !(qr.Cond() < worstCondition) {
		return linearFit{}, errUnderdetermined
	}
	var c mat.VecDense
	b := mat.NewVecDense(rows, y)
	if err := qr.SolveVecTo(&c, false, b); err != nil {
		return linearFit{}, errUnderdetermined
	}
	var rest mat.VecDense
	rest.MulVec(a, &c)
	rest.SubVec(b, &rest)
	fit := linearFit{coefficients: c.RawVector().Data, rss: mat.Dot(&rest, &rest), deviations: make([]float64, columns)}
	if rows == columns {
		return fit, nil
	}
	// Covariance s²·(RᵀR)⁻¹.
	var r mat.Dense
	qr.RTo(&r)
	upper := mat.NewTriDense(columns, mat.Upper, nil)
	for i := range columns {
		for j := i; j < columns; j++ {
			upper.SetTri(i, j, r.At(i, j))
		}
	}
	var inverse mat.TriDense
	if err := inverse.InverseTri(upper); err != nil {
		return linearFit{}, errUnderdetermined
	}
	variance := fit.rss / float64(rows-columns)
	for i := range columns {
		sum := 0.0
		for j := i; j < columns; j++ {
			sum += inverse.At(i, j) * inverse.At(i, j)
		}
		fit.deviations[i] = math.Sqrt(variance * sum)
	}
	return fit, nil
}
