//! Products of matrices with a handful of rows.
//!
//! A network has four to some dozen states and a cycle takes thousands of such products. A library's product of any size
//! spends most of its time on finding that this one is small: `docs/performance.md` has the measured difference.

/// Rows taken at once.
const LANES: usize = 4;

/// A matrix by columns, each padded with zeros to whole [`LANES`].
#[derive(Debug, Clone, PartialEq)]
pub struct Columns {
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
        for (c, column) in matrix.each_mut().enumerate() {
            column[..rows].iter_mut().enumerate().for_each(|(r, value)| *value = entry(r, c));
        }
        matrix
    }

    /// `rows` by `columns` of nothing.
    pub fn zeros(rows: usize, columns: usize) -> Columns {
        Columns::from_fn(rows, columns, |_, _| 0.0)
    }

    /// Ones on the diagonal.
    pub fn set_to_identity(&mut self) {
        self.clear();
        self.each_mut().enumerate().for_each(|(i, column)| column[i] = 1.0);
    }

    /// Nothing again.
    pub fn clear(&mut self) {
        self.data.fill([0.0; LANES]);
    }

    /// Rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Adds `factor` times another of no more rows and as many columns.
    pub fn add(&mut self, other: &Columns, factor: f64) {
        for (sums, column) in self.each_mut().zip(other.each()) {
            add(sums, factor, &column[..other.rows]);
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

    /// A column, padding and all; the padding must stay zero.
    pub fn column_mut(&mut self, column: usize) -> &mut [f64] {
        self.data[column * self.blocks..][..self.blocks].as_flattened_mut()
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
    #[inline]
    pub fn times(&self, x: &[f64], out: &mut [f64]) {
        self.weighed(x.iter().copied(), out);
    }

    /// The sum of the columns, each times its weight.
    #[inline]
    fn weighed(&self, weights: impl Iterator<Item = f64>, out: &mut [f64]) {
        match self.blocks {
            1 => self.weighed_in::<1>(weights, out),
            2 => self.weighed_in::<2>(weights, out),
            3 => self.weighed_in::<3>(weights, out),
            4 => self.weighed_in::<4>(weights, out),
            _ => {
                out.fill(0.0);
                for (weight, column) in weights.zip(self.each()) {
                    add(out, weight, column);
                }
            }
        }
    }

    /// The same for so many blocks: the sums stay in registers.
    #[inline]
    fn weighed_in<const BLOCKS: usize>(&self, weights: impl Iterator<Item = f64>, out: &mut [f64]) {
        let mut sums = [[0.0; LANES]; BLOCKS];
        for (weight, column) in weights.zip(self.data.as_chunks::<BLOCKS>().0) {
            for (sum, block) in sums.iter_mut().zip(column) {
                for (sum, a) in sum.iter_mut().zip(block) {
                    *sum += weight * a;
                }
            }
        }
        out[..BLOCKS * LANES].copy_from_slice(sums.as_flattened());
    }

    /// `out = self · right`, all of the same rows.
    pub fn product(&self, right: &Columns, out: &mut Columns) {
        for (right, out) in right.each().zip(out.each_mut()) {
            self.times(&right[..self.rows], out);
        }
    }
}

/// Sum of the products of two padded columns.
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    let blocks = a.as_chunks::<LANES>().0.iter();
    let mut sum = [0.0; LANES];
    for (a, b) in blocks.zip(b.as_chunks::<LANES>().0) {
        for (sum, (a, b)) in sum.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    sum.iter().sum()
}

/// A matrix by rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows {
    width: usize,
    data: Vec<f64>,
}

impl Rows {
    /// `rows` by `width` of nothing.
    pub fn zeros(rows: usize, width: usize) -> Rows {
        Rows { width, data: vec![0.0; rows * width] }
    }

    /// Entries of a row.
    pub fn width(&self) -> usize {
        self.width
    }

    /// A row.
    pub fn row(&self, row: usize) -> &[f64] {
        &self.data[row * self.width..][..self.width]
    }

    /// A row.
    pub fn row_mut(&mut self, row: usize) -> &mut [f64] {
        &mut self.data[row * self.width..][..self.width]
    }

    /// Two different rows.
    fn two(&mut self, one: usize, other: usize) -> Option<[&mut [f64]; 2]> {
        let place = |row: usize| row * self.width..(row + 1) * self.width;
        self.data.get_disjoint_mut([place(one), place(other)]).ok()
    }

    /// Takes `factor` times a row from another.
    fn reduce(&mut self, from: usize, row: usize, factor: f64, first: usize) {
        if let Some([from, row]) = self.two(from, row) {
            add(&mut from[first..], -factor, &row[first..]);
        }
    }

    /// For rows that are `[K | B]`, K square: `K⁻¹·B`, by elimination with partial pivoting that passes over zeros, of
    /// which the equations of a network consist for the most part. `None` where K is singular.
    pub fn solved(mut self) -> Option<Rows> {
        let n = self.data.len() / self.width.max(1);
        for c in 0..n {
            let at = |r: usize| self.data[r * self.width + c].abs();
            let pivot = (c + 1..n).fold(c, |best, r| if at(r) > at(best) { r } else { best });
            if at(pivot) == 0.0 {
                return None;
            }
            if let Some([here, there]) = self.two(c, pivot) {
                here.swap_with_slice(there);
            }
            let inverse = 1.0 / self.row(c)[c];
            for r in c + 1..n {
                let value = self.row(r)[c];
                if value != 0.0 {
                    self.reduce(r, c, value * inverse, c);
                }
            }
        }
        let mut answer = Rows::zeros(n, self.width - n);
        for c in (0..n).rev() {
            let inverse = 1.0 / self.row(c)[c];
            self.row_mut(c)[n..].iter_mut().for_each(|v| *v *= inverse);
            for r in 0..c {
                let value = self.row(r)[c];
                if value != 0.0 {
                    self.reduce(r, c, value, n);
                }
            }
            answer.row_mut(c).copy_from_slice(&self.row(c)[n..]);
        }
        Some(answer)
    }
}

/// Second moments of samples of `width`: the mean of the products of each two, by rows.
pub fn moment(samples: &[f64], width: usize) -> Rows {
    let count = samples.len() / width.max(1);
    let padded = Columns::from_fn(width, count, |r, c| samples[c * width + r]);
    let mut all = Rows::zeros(width, width);
    let mut sums = vec![0.0; padded.padded()];
    for r in 0..width {
        padded.weighed(padded.each().map(|column| column[r]), &mut sums);
        all.row_mut(r).iter_mut().zip(&sums).for_each(|(m, sum)| *m = sum / count as f64);
    }
    all
}

/// Adds `factor` times `values` to `sums`, one to one.
#[inline]
pub fn add(sums: &mut [f64], factor: f64, values: &[f64]) {
    for (sum, value) in sums.iter_mut().zip(values) {
        *sum += factor * value;
    }
}

/// Entry of the unit matrix.
pub fn unit(row: usize, column: usize) -> f64 {
    if row == column { 1.0 } else { 0.0 }
}

/// Sum of the products of two lists.
pub fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
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

    /// The same, of solutions and of moments.
    #[test]
    fn solutions_and_moments_are_those_of_the_library() {
        for n in 1..=9 {
            // with nothing on the diagonal, and two of three entries nothing where `n` is odd
            let kept = |r: usize, c: usize| r != c && (n % 2 == 0 || (r + 2 * c) % 3 == 1);
            let full = |r, c| if n < 2 || kept(r, c) { entry(r * r + 1, r * c + c) } else { 0.0 };
            let width = 3;
            let mut both = Rows::zeros(n, n + width);
            for r in 0..n {
                for (c, value) in both.row_mut(r).iter_mut().enumerate() {
                    *value = if c < n { full(r, c) } else { entry(r, c) };
                }
            }
            let right = DMatrix::from_fn(n, width, |r, c| entry(r, n + c));
            let theirs = DMatrix::from_fn(n, n, full).lu().solve(&right);
            assert!(theirs.is_some() || n % 2 == 1, "{n}");
            if let (Some(theirs), Some(ours)) = (theirs, both.solved()) {
                let at = |r: usize, c: usize| (ours.row(r)[c] / theirs[(r, c)] - 1.0).abs();
                assert!((0..n).all(|r| (0..width).all(|c| at(r, c) < 1e-9)), "{n}");
            }
            let samples: Vec<f64> = (0..n * 7).map(|k| entry(k % n, k / n)).collect();
            let z = DMatrix::from_column_slice(n, 7, &samples);
            let theirs = (&z * z.transpose()) / 7.0;
            let ours = moment(&samples, n);
            let at = |r: usize, c: usize| (ours.row(r)[c] - theirs[(r, c)]).abs();
            assert!((0..n).all(|r| (0..n).all(|c| at(r, c) < 1e-13)), "{n}");
        }
        assert_eq!(Rows::zeros(2, 3).solved(), None);
    }

    #[test]
    fn dot_counts_every_entry_once() {
        let columns =
            Columns::from_fn(6, 2, |r, c| if c == 0 { 10f64.powi(r as i32) } else { 2.0 });
        let list: Vec<&[f64]> = columns.each().collect();
        assert_eq!(dot(list[0], list[1]), 222_222.0);
    }
}
