//! Products of matrices with a handful of rows.
//!
//! A network has four to some dozen states and a cycle takes thousands of such products. A library's product of any size
//! spends most of its time on finding that this one is small: `docs/performance.md` has the measured difference.

/// Rows taken at once.
const LANES: usize = 4;

/// A matrix by columns, each padded with zeros to whole [`LANES`].
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Columns {
    rows: usize,
    /// Blocks of [`LANES`] in a column; at least one.
    blocks: usize,
    data: Vec<[f64; LANES]>,
}

impl Columns {
    /// `rows` by `columns`, each entry as `entry(row, column)` says.
    pub fn from_fn(rows: usize, columns: usize, entry: impl Fn(usize, usize) -> f64) -> Columns {
        let blocks = rows.div_ceil(LANES).max(1);
        let mut matrix = Columns { rows, blocks, data: vec![[0.0; LANES]; blocks * columns] };
        for (c, column) in matrix.data.chunks_exact_mut(blocks).enumerate() {
            for (r, value) in column.as_flattened_mut()[..rows].iter_mut().enumerate() {
                *value = entry(r, c);
            }
        }
        matrix
    }

    /// `rows` by `columns` of nothing.
    pub fn zeros(rows: usize, columns: usize) -> Columns {
        Columns::from_fn(rows, columns, |_, _| 0.0)
    }

    /// Ones on the diagonal.
    pub fn set_to_identity(&mut self) {
        self.data.fill([0.0; LANES]);
        for (i, column) in self.data.chunks_exact_mut(self.blocks).enumerate() {
            column.as_flattened_mut()[i] = 1.0;
        }
    }

    /// A row's entry in a column.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.column(column)[row]
    }

    /// Length of a column with its padding.
    pub fn padded(&self) -> usize {
        self.blocks * LANES
    }

    /// A column, padding and all.
    pub fn column(&self, column: usize) -> &[f64] {
        self.data[column * self.blocks..][..self.blocks].as_flattened()
    }

    /// Every column, padding and all.
    pub fn each(&self) -> impl Iterator<Item = &[f64]> {
        self.data.chunks_exact(self.blocks).map(|c| c.as_flattened())
    }

    /// Every column, padding and all; the padding must stay zero.
    pub fn each_mut(&mut self) -> impl Iterator<Item = &mut [f64]> {
        self.data.chunks_exact_mut(self.blocks).map(|c| c.as_flattened_mut())
    }

    /// `out = self · x`; `out` is as long as a padded column.
    pub fn times(&self, x: &[f64], out: &mut [f64]) {
        for (block, out) in out.as_chunks_mut::<LANES>().0.iter_mut().enumerate() {
            let mut sum = [0.0; LANES];
            for (weight, column) in x.iter().zip(self.data.chunks_exact(self.blocks)) {
                for (sum, a) in sum.iter_mut().zip(&column[block]) {
                    *sum += weight * a;
                }
            }
            *out = sum;
        }
    }

    /// `out = self · right`, all of the same rows.
    pub fn product(&self, right: &Columns, out: &mut Columns) {
        for (right, out) in right.each().zip(out.each_mut()) {
            self.times(&right[..self.rows], out);
        }
    }
}

/// Sum of the products of two padded columns.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let blocks = a.as_chunks::<LANES>().0.iter();
    let mut sum = [0.0; LANES];
    for (a, b) in blocks.zip(b.as_chunks::<LANES>().0) {
        for (sum, (a, b)) in sum.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    sum.iter().sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DMatrix;

    /// Entries without any pattern a wrong index could hide behind.
    fn entry(r: usize, c: usize) -> f64 {
        ((7 * r + 13 * c + 1) as f64).sin()
    }

    /// nalgebra's product is the outside check, for every size from nothing to beyond three blocks.
    #[test]
    fn products_are_those_of_the_library() {
        for n in 0..=13 {
            let (a, b) =
                (Columns::from_fn(n, n, entry), Columns::from_fn(n, n, |r, c| entry(c, r + 5)));
            let mut out = Columns::zeros(n, n);
            a.product(&b, &mut out);
            let theirs =
                DMatrix::from_fn(n, n, entry) * DMatrix::from_fn(n, n, |r, c| entry(c, r + 5));
            for r in 0..n {
                for c in 0..n {
                    assert!((out.at(r, c) - theirs[(r, c)]).abs() < 1e-13, "{n}: {r} {c}");
                }
            }
            assert!(out.each().all(|c| c[n..].iter().all(|v| *v == 0.0)));
            a.product(&b, &mut out); // sums start from nothing each time
            assert!(n == 0 || (out.at(n - 1, 0) - theirs[(n - 1, 0)]).abs() < 1e-13);
            let mut one = Columns::zeros(n, n);
            one.set_to_identity();
            let mut same = Columns::zeros(n, n);
            one.product(&b, &mut same);
            assert_eq!(same, b);
        }
    }

    #[test]
    fn dot_counts_every_entry_once() {
        let columns =
            Columns::from_fn(6, 2, |r, c| if c == 0 { 10f64.powi(r as i32) } else { 2.0 });
        let list: Vec<&[f64]> = columns.each().collect();
        assert_eq!(dot(list[0], list[1]), 222_222.0);
    }
}
