//! Which combination of columns fits the readings best, how surely, and what is left over?
//! Householder QR on columns scaled to unit length: the normal equations would lose half the
//! figures. Deliberately absent: weights, and any choice of which columns belong in a model.
//!
//! Outside check: NIST Statistical Reference Datasets, linear regression (tests/settings_a.rs).

/// A column shorter than this, beside what the columns before it leave of it, is a repeat of them.
const DEPENDENT: f64 = 1e-10;

/// A fit of readings to columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    pub coefficients: Vec<f64>,
    /// Reading less fit, in the order of the readings.
    pub residuals: Vec<f64>,
    pub degrees_of_freedom: usize,
    /// Inverse of X'X, row by row; times the residual variance it is the covariance.
    inverse: Vec<Vec<f64>>,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoFit {
    /// Fewer readings than unknowns.
    TooFewReadings,
    /// This column is a combination of the ones before it.
    Dependent { column: usize },
}

/// Fits `readings` to `rows`, one row of columns for each reading. Every number is finite and every
/// row has the same length; the callers build them so.
pub fn fit(rows: &[Vec<f64>], readings: &[f64]) -> Result<Fit, NoFit> {
    let columns = rows.first().map_or(0, Vec::len);
    if columns == 0 || rows.len() < columns {
        return Err(NoFit::TooFewReadings);
    }
    let scales: Vec<f64> = (0..columns).map(|column| length(rows, column)).collect();
    if let Some(column) = scales.iter().position(|&scale| scale == 0.0) {
        return Err(NoFit::Dependent { column });
    }
    let mut matrix: Vec<Vec<f64>> = rows
        .iter()
        .map(|row| row.iter().zip(&scales).map(|(x, scale)| x / scale).collect())
        .collect();
    let mut right = readings.to_vec();
    for column in 0..columns {
        reflect(&mut matrix, &mut right, column);
        if matrix[column][column].abs() < DEPENDENT {
            return Err(NoFit::Dependent { column });
        }
    }
    let upper = invert_upper(&matrix, columns);
    let unscaled: Vec<Vec<f64>> = upper
        .iter()
        .zip(&scales)
        .map(|(row, scale)| row.iter().map(|x| x / scale).collect())
        .collect();
    let coefficients: Vec<f64> = unscaled.iter().map(|row| dot(row, &right[..columns])).collect();
    let residuals = rows.iter().zip(readings).map(|(row, y)| y - dot(row, &coefficients)).collect();
    let inverse =
        unscaled.iter().map(|row| unscaled.iter().map(|other| dot(row, other)).collect()).collect();
    Ok(Fit { coefficients, residuals, degrees_of_freedom: rows.len() - columns, inverse })
}

impl Fit {
    pub fn sum_of_squares(&self) -> f64 {
        dot(&self.residuals, &self.residuals)
    }

    /// Standard deviation of the residuals; `None` when every reading went into an unknown.
    pub fn residual_sd(&self) -> Option<f64> {
        let degrees = self.degrees_of_freedom;
        (degrees > 0).then(|| (self.sum_of_squares() / degrees as f64).sqrt())
    }

    /// Standard error of a combination of the coefficients, for a residual standard deviation.
    pub fn standard_error_of(&self, combination: &[f64], residual_sd: f64) -> f64 {
        residual_sd * self.leverage(combination).sqrt()
    }

    /// Standard error of one coefficient.
    pub fn standard_error(&self, column: usize) -> Option<f64> {
        self.residual_sd().map(|sd| sd * self.inverse[column][column].sqrt())
    }

    /// x'(X'X)^-1 x: how far a row lies from the readings.
    pub fn leverage(&self, row: &[f64]) -> f64 {
        self.inverse.iter().zip(row).map(|(line, x)| x * dot(line, row)).sum()
    }

    /// The fitted value of a row.
    pub fn value_at(&self, row: &[f64]) -> f64 {
        dot(&self.coefficients, row)
    }
}

fn dot(left: &[f64], right: &[f64]) -> f64 {
    left.iter().zip(right).map(|(a, b)| a * b).sum()
}

fn length(rows: &[Vec<f64>], column: usize) -> f64 {
    rows.iter().map(|row| row[column] * row[column]).sum::<f64>().sqrt()
}

/// One Householder reflection: makes `column` zero below its diagonal, in the matrix and beside it.
fn reflect(matrix: &mut [Vec<f64>], right: &mut [f64], column: usize) {
    let norm = matrix[column..].iter().map(|row| row[column] * row[column]).sum::<f64>().sqrt();
    if norm == 0.0 {
        return;
    }
    // Away from zero, so that nothing cancels.
    let head = -norm.copysign(matrix[column][column]);
    let mut axis: Vec<f64> = matrix[column..].iter().map(|row| row[column]).collect();
    axis[0] -= head;
    let half_square = dot(&axis, &axis) / 2.0;
    for other in column..matrix[column].len() {
        let along: f64 = axis.iter().zip(&matrix[column..]).map(|(a, row)| a * row[other]).sum();
        for (a, row) in axis.iter().zip(&mut matrix[column..]) {
            row[other] -= a * along / half_square;
        }
    }
    let along = dot(&axis, &right[column..]);
    for (a, y) in axis.iter().zip(&mut right[column..]) {
        *y -= a * along / half_square;
    }
}

/// Inverse of the upper triangle that the reflections leave.
fn invert_upper(matrix: &[Vec<f64>], size: usize) -> Vec<Vec<f64>> {
    let mut inverse = vec![vec![0.0; size]; size];
    for column in 0..size {
        inverse[column][column] = 1.0 / matrix[column][column];
        for row in (0..column).rev() {
            let above: f64 =
                (row + 1..=column).map(|index| matrix[row][index] * inverse[index][column]).sum();
            inverse[row][column] = -above / matrix[row][row];
        }
    }
    inverse
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_its_own_points_is_found() {
        let rows: Vec<Vec<f64>> = (0..5).map(|x| vec![1.0, f64::from(x)]).collect();
        let readings: Vec<f64> = (0..5).map(|x| 3.0 - 0.5 * f64::from(x)).collect();
        let fit = fit(&rows, &readings).expect("two unknowns, five readings");
        assert!((fit.coefficients[0] - 3.0).abs() < 1e-14);
        assert!((fit.coefficients[1] + 0.5).abs() < 1e-14);
        assert!(fit.residual_sd().expect("three to spare") < 1e-14);
        assert!((fit.value_at(&[1.0, 10.0]) + 2.0).abs() < 1e-13);
        assert!(fit.leverage(&[1.0, 2.0]) < fit.leverage(&[1.0, 10.0]));
    }

    #[test]
    fn too_few_readings_and_repeated_columns_are_told() {
        let short = fit(&[vec![1.0, 2.0]], &[1.0]);
        assert_eq!(short, Err(NoFit::TooFewReadings));
        assert_eq!(fit(&[], &[]), Err(NoFit::TooFewReadings));
        let rows: Vec<Vec<f64>> = (0..4).map(|x| vec![1.0, f64::from(x), 2.0]).collect();
        assert_eq!(fit(&rows, &[0.0; 4]), Err(NoFit::Dependent { column: 2 }));
        let zero = vec![vec![1.0, 0.0]; 3];
        assert_eq!(fit(&zero, &[0.0; 3]), Err(NoFit::Dependent { column: 1 }));
    }

    #[test]
    fn with_nothing_to_spare_there_is_no_standard_deviation() {
        let exact = fit(&[vec![1.0, 0.0], vec![1.0, 1.0]], &[1.0, 2.0]).expect("just enough");
        assert_eq!(exact.residual_sd(), None);
        assert_eq!(exact.standard_error(1), None);
    }
}
