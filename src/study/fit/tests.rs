//! The search against the whole posterior, summed over a grid.

use super::complete;
use super::judge;
use super::search::{Search, Solution, Without};
use crate::profile::{self, Document};
use crate::receiver::{Number, Receiver, Straight, Uncertain};
use nalgebra::{DMatrix, DVector};

/// The console with these readings.
fn console(readings: &str) -> profile::Profile {
    let text = include_str!("../../../profiles/console-1936.yaml").to_owned() + readings;
    let document = Document::parse("console", text.as_bytes()).unwrap();
    profile::read(&document).unwrap().0
}

/// Mean and standard deviation of two numbers by brute force: the product of prior and likelihood on a grid wide and
/// fine enough that its sums no longer change (any textbook of Bayesian data analysis). The third unknown, the line, is
/// held by a reading set that states it within 0.01 %.
#[test]
fn mean_and_spread_are_those_of_the_posterior_on_a_grid() {
    let profile = console(
        "\nreadings:\n  - { at_line: 115 V, accuracy: 1 %, B+: 262 V, field_coil: 83 V, bias.output: -18.9 V }\n",
    );
    let (model, assumed) = complete(&profile).unwrap();
    let mut search = Search::new(model, &assumed, &profile).unwrap();
    let receiver = search.receiver.clone();
    search.numbers = [(Number::DividerResistor.at(0, 0), 0.10), (Number::TubeCurrent.of(4), 0.15)]
        .map(|(parameter, spread)| Uncertain {
            parameter,
            spread,
            middle: 0.0,
            assumed: false,
            held: false,
        })
        .to_vec();
    search.settings[0].line_spread = 1e-4;
    let start = search.start().unwrap();
    let solution = search.solve(&start, Without::Nothing).unwrap();
    let priors = search.priors(Without::Nothing);
    let points = search.points.clone();
    let (steps, reach) = (25, 3.2);
    let axis = |j: usize, i: usize| reach * priors[j] * (2.0 * i as f64 / (steps - 1) as f64 - 1.0);
    let (mut weights, mut first, mut second) = (0.0, [0.0; 2], [0.0; 2]);
    for a in 0..steps {
        for b in 0..steps {
            let x = DVector::from_vec(vec![axis(0, a), axis(1, b), 0.0]);
            let other = Receiver::new(search.model(&x), Some(&receiver)).unwrap();
            let (reading, operation) = super::points::plain(&other, 115.0, None).unwrap();
            let mut square = (x[0] / priors[0]).powi(2) + (x[1] / priors[1]).powi(2);
            for p in &points {
                let load =
                    super::points::change_by_meter(&other, &Straight, &operation, p).unwrap();
                square += ((p.measure.value(&reading) + load - p.measured) / p.uncertainty).powi(2);
            }
            let weight = (-0.5 * square).exp();
            weights += weight;
            for j in 0..2 {
                first[j] += weight * x[j];
                second[j] += weight * x[j] * x[j];
            }
        }
    }
    for j in 0..2 {
        let mean = first[j] / weights;
        let deviation = (second[j] / weights - mean * mean).sqrt();
        // the posterior is not quite Gaussian: the mean of a skew hill lies beside its top
        assert!(
            (solution.x[j] - mean).abs() < 0.1 * deviation,
            "{j}: {} {mean} ±{deviation}",
            solution.x[j]
        );
        assert!(
            (solution.deviation(j) / deviation - 1.0).abs() < 0.05,
            "{j}: {} {deviation}",
            solution.deviation(j)
        );
    }
}

/// One number behind a prior of `s`, one reading of `k` times it: what the prior costs at the top of the posterior is
/// y²/(1 + k²s²) (least squares on paper), and that is what setting the number free takes off. A reading that says next to
/// nothing of the number names nobody, however the last digits of a search fall.
#[test]
fn setting_free_takes_off_what_the_prior_costs() {
    let solution = |x: f64, c: f64| Solution {
        x: DVector::from_element(1, x),
        covariance: DMatrix::from_element(1, 1, c),
        slopes: DMatrix::zeros(0, 1),
        last: Vec::new(),
        misfit: 0.0,
    };
    let s = 0.03;
    let priors = DVector::from_element(1, s);
    for k in [1.0, 30.0, 400.0] {
        for y in [0.5, -2.0, 14.0] {
            let c = 1.0 / (k * k + 1.0 / (s * s));
            let got = judge::gain(&solution(c * k * y, c), &priors, 0);
            let paper = y * y / (1.0 + k * k * s * s);
            assert!((got / paper - 1.0).abs() < 1e-9, "{k} {y}: {got} {paper}");
        }
    }
    for share in [1e-5, 1e-7, 1e-9] {
        let c = s * s * (1.0 - share);
        assert_eq!(judge::gain(&solution(1e-3 * s, c), &priors, 0), 0.0);
    }
}
