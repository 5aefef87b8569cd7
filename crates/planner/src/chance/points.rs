//! Points spread evenly over the unit cube, and from them the distributions.

/// Inputs that are drawn: mass, centre (3), four pads (2 each), tilt (2), assumed stiffness, four stated ones.
pub(super) const INPUTS: usize = 19;

const PRIMES: [f64; INPUTS] = [
    2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0, 41.0, 43.0, 47.0, 53.0, 59.0, 61.0,
    67.0,
];

/// Additive recurrence x + n sqrt(prime) modulo 1 (Richtmyer 1951; Niederreiter 1978), moved as a whole by a
/// random shift (Cranley and Patterson 1976).
pub(super) struct Points {
    at: [f64; INPUTS],
    step: [f64; INPUTS],
}

impl Points {
    /// The sequence moved by the shift of that number, the same on every run.
    pub(super) fn shifted(shift: u64) -> Self {
        // SplitMix64 (Steele, Lea, Flood 2014); every shift has a stretch of its own.
        let mut state = shift.wrapping_mul(0x5851_F42D_4C95_7F2D).wrapping_add(3);
        let mut unit = || {
            state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let z = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            f64::from(u32::try_from((z ^ (z >> 31)) >> 32).unwrap_or(0)) / 4_294_967_296.0
        };
        Self { at: core::array::from_fn(|_| unit()), step: PRIMES.map(|p| p.sqrt().fract()) }
    }

    /// The next point, every coordinate in [0, 1).
    pub(super) fn next(&mut self) -> &[f64; INPUTS] {
        for (at, step) in self.at.iter_mut().zip(self.step) {
            let next = *at + step;
            *at = if next < 1.0 { next } else { next - 1.0 };
        }
        &self.at
    }
}

/// Uniform in -1 to 1.
pub(super) fn both_ways(u: f64) -> f64 {
    2.0 * u - 1.0
}

/// Uniform in the disc of radius 1.
pub(super) fn disc(u: f64, v: f64) -> [f64; 2] {
    let (sin, cos) = (core::f64::consts::TAU * v).sin_cos();
    let r = u.sqrt();
    [r * cos, r * sin]
}

/// Standard normal: the inverse of its distribution, relative error about 1e-16 (Wichura 1988, AS 241, PPND16).
pub(super) fn normal(u: f64) -> f64 {
    let q = u - 0.5;
    if q.abs() <= 0.425 {
        return q * ratio(0.180_625 - q * q, &MIDDLE);
    }
    let tail = (if q < 0.0 { u } else { 1.0 - u }).max(f64::MIN_POSITIVE);
    let r = (-tail.ln()).sqrt();
    let size = if r <= 5.0 { ratio(r - 1.6, &SIDE) } else { ratio(r - 5.0, &END) };
    size.copysign(q)
}

/// Numerator and denominator, highest power first.
type Ratio = [[f64; 8]; 2];

fn ratio(r: f64, [above, below]: &Ratio) -> f64 {
    let value = |c: &[f64; 8]| c.iter().fold(0.0, |sum, c| sum * r + c);
    value(above) / value(below)
}

const MIDDLE: Ratio = [
    [
        2_509.080_928_730_122_7,
        33_430.575_583_588_13,
        67_265.770_927_008_7,
        45_921.953_931_549_87,
        13_731.693_765_509_46,
        1_971.590_950_306_551_4,
        133.141_667_891_784_38,
        3.387_132_872_796_366_6,
    ],
    [
        5_226.495_278_852_855,
        28_729.085_735_721_943,
        39_307.895_800_092_71,
        21_213.794_301_586_597,
        5_394.196_021_424_751,
        687.187_007_492_057_9,
        42.313_330_701_600_91,
        1.0,
    ],
];
const SIDE: Ratio = [
    [
        7.745_450_142_783_414e-4,
        0.022_723_844_989_269_184,
        0.241_780_725_177_450_6,
        1.270_458_252_452_368_4,
        3.647_848_324_763_204_5,
        5.769_497_221_460_691,
        4.630_337_846_156_546,
        1.423_437_110_749_683_6,
    ],
    [
        1.050_750_071_644_416_9e-9,
        5.475_938_084_995_345e-4,
        0.015_198_666_563_616_457,
        0.148_103_976_427_480_08,
        0.689_767_334_985_1,
        1.676_384_830_183_803_8,
        2.053_191_626_637_759,
        1.0,
    ],
];
const END: Ratio = [
    [
        2.010_334_399_292_288_1e-7,
        2.711_555_568_743_487_6e-5,
        0.001_242_660_947_388_078_4,
        0.026_532_189_526_576_124,
        0.296_560_571_828_504_87,
        1.784_826_539_917_291_3,
        5.463_784_911_164_114,
        6.657_904_643_501_103,
    ],
    [
        2.044_263_103_389_939_8e-15,
        1.421_511_758_316_446e-7,
        1.846_318_317_510_054_8e-5,
        7.868_691_311_456_133e-4,
        0.014_875_361_290_850_615,
        0.136_929_880_922_735_8,
        0.599_832_206_555_888,
        1.0,
    ],
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Second way: the density integrated by Simpson's rule.
    fn below(x: f64) -> f64 {
        let density = |t: f64| (-t * t / 2.0).exp() / core::f64::consts::TAU.sqrt();
        let (n, from) = (4000, -12.0);
        let h = (x - from) / f64::from(n);
        let weighted = |i: i32| if i == 0 || i == n { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        (0..=n).map(|i| weighted(i) * density(from + h * f64::from(i))).sum::<f64>() * h / 3.0
    }

    #[test]
    fn the_normal_is_the_inverse_of_the_integrated_density() {
        for u in [1e-13, 1e-11, 1e-8, 1e-4, 0.01, 0.07, 0.08, 0.3, 0.5, 0.7, 0.93, 0.99, 0.9999] {
            let back = below(normal(u));
            assert!((back / u - 1.0).abs() < 1e-8, "{u} {back}");
        }
        assert!(normal(0.0).is_finite() && normal(1.0).is_finite());
    }

    #[test]
    fn points_fill_the_cube_more_evenly_than_chance() {
        let mut points = Points::shifted(7);
        let mut sums = [0.0; INPUTS];
        for _ in 0..10_000 {
            let point = points.next();
            assert!(point.iter().all(|x| (0.0..1.0).contains(x)));
            sums.iter_mut().zip(point).for_each(|(s, x)| *s += x);
        }
        // Independent draws: the mean of 10 000 has a standard deviation of 0.0029.
        assert!(sums.iter().all(|s| (s / 10_000.0 - 0.5).abs() < 0.001), "{sums:?}");
    }

    #[test]
    fn a_disc_holds_as_much_in_half_its_area() {
        let mut points = Points::shifted(0);
        let mut inner = 0;
        for _ in 0..10_000 {
            let p = points.next();
            let [x, y] = disc(p[4], p[5]);
            assert!(x * x + y * y < 1.0);
            inner += i32::from(x * x + y * y < 0.5);
        }
        assert!((inner - 5_000).abs() < 30, "{inner}");
    }
}
