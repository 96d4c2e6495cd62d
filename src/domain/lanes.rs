//! Exponentials and logarithms for many cards at once.
//!
//! Written without a branch, a table or a call, so that a loop over an array of cards becomes vector
//! instructions; and out of additions, multiplications, divisions and whole-number steps alone, which
//! every machine rounds alike. Nothing is contracted, so wider instructions give the same bits.
//! Accurate to 1e-14 of the result (held by tests against `libm`) for what the memory model asks:
//! [`ln`] of a normal number above 0, [`exp_m1`] of -25 to 25.
//!
//! Source of the argument reductions: fdlibm (`e_log.c` and `e_exp.c`, Sun Microsystems 1993, as in the
//! `libm` crate). The polynomials are our own, through the Chebyshev nodes of their range.
//! Leaves out what is computed with them (`memory_lanes.rs`, `fit/slope.rs`).
#![expect(
    clippy::inline_always,
    clippy::many_single_char_names,
    reason = "formulas over lanes: each must become part of its caller's vector loop"
)]

use std::f64::consts::LN_2;
use std::f64::consts::LOG2_E;

/// How many cards go abreast.
pub(crate) const LANES: usize = 16;

/// A number of each card.
pub(crate) type Lanes = [f64; LANES];

/// `(ln((1 + s) / (1 - s)) / s - 2) / s^2` as a polynomial in `s^2`, for `s^2` up to 0.02944.
const LN: [f64; 6] = [
    0.666_666_666_666_620_8,
    0.400_000_000_112_118_2,
    0.285_714_241_366_362_7,
    0.222_228_624_637_990_65,
    0.181_401_857_729_581_26,
    0.166_219_384_718_045_12,
];

/// `(e^r - 1 - r) / r^2` as a polynomial in `r`, for `r` of -0.3466 to 0.3466.
const EXP: [f64; 9] = [
    0.5,
    0.166_666_666_666_482_92,
    0.041_666_666_666_651_36,
    0.008_333_333_353_726_484,
    0.001_388_888_890_587_911_6,
    0.000_198_412_087_383_569_9,
    2.480_153_639_353_965_4e-5,
    2.762_511_234_813_209_3e-6,
    2.761_380_417_063_004e-7,
];

/// 1.5 * 2^52: adding it rounds to a whole number, which then stands in the low bits.
const ROUNDER: f64 = 6_755_399_441_055_744.0;

/// 2^52 as bits: a small whole number put into its low bits is that number above 2^52.
const WHOLE: u64 = 0x4330_0000_0000_0000;

/// Bits that carry a number of at least the square root of one half over into the next exponent.
const CARRY: u64 = 0x0009_5f61_9980_c433;

/// Returns the natural logarithm of a normal number above 0.
#[inline(always)]
pub(crate) fn ln(x: f64) -> f64 {
    let bits = x.to_bits();
    let exponent = bits.wrapping_add(CARRY) >> 52;
    let power = f64::from_bits(exponent | WHOLE) - (4_503_599_627_370_496.0 + 1023.0);
    let m = f64::from_bits(bits.wrapping_sub(exponent << 52).wrapping_add(1023 << 52));
    let s = (m - 1.0) / (m + 1.0);
    let z = s * s;
    let z2 = z * z;
    let a = LN[0] + z * LN[1];
    let b = LN[2] + z * LN[3];
    let c = LN[4] + z * LN[5];
    let series = a + z2 * (b + z2 * c);
    power * LN_2 + (2.0 * s + s * z * series)
}

/// Returns `e^x - 1`, accurate near 0 too.
#[inline(always)]
pub(crate) fn exp_m1(x: f64) -> f64 {
    let rounded = x * LOG2_E + ROUNDER;
    let n = rounded - ROUNDER;
    let r = x - n * LN_2;
    // 2^n: the low bits of `rounded` hold n, the shift drops all others.
    let scale = f64::from_bits(rounded.to_bits().wrapping_add(1023) << 52);
    let r2 = r * r;
    let r4 = r2 * r2;
    let a = EXP[0] + r * EXP[1];
    let b = EXP[2] + r * EXP[3];
    let c = EXP[4] + r * EXP[5];
    let d = EXP[6] + r * EXP[7] + r2 * EXP[8];
    let series = r + r2 * ((a + r2 * b) + r4 * (c + r2 * d));
    scale * series + (scale - 1.0)
}

/// Returns the places of histories by their lengths, shortest first; like lengths keep their order.
pub(crate) fn by_length(lengths: impl Iterator<Item = usize> + Clone) -> Vec<usize> {
    let longest = lengths.clone().max().unwrap_or(0);
    let mut next = vec![0; longest + 2];
    let mut total = 0;
    for length in lengths.clone() {
        next[length + 1] += 1;
        total += 1;
    }
    for length in 0..=longest {
        next[length + 1] += next[length];
    }
    let mut order = vec![0; total];
    for (place, length) in lengths.enumerate() {
        order[next[length]] = place;
        next[length] += 1;
    }
    order
}

/// Work that is to be compiled once for each width of instructions; all of it must be inlined.
pub(crate) trait Wide {
    /// What it comes to.
    type Output;
    /// Does it.
    fn work(self) -> Self::Output;
}

struct Widened<W>(W);

impl<W: Wide> pulp::WithSimd for Widened<W> {
    type Output = W::Output;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _width: S) -> W::Output {
        self.0.work()
    }
}

/// Does `work` with the widest instructions that this processor has; they round alike.
pub(crate) fn widest<W: Wide>(work: W) -> W::Output {
    pulp::Arch::new().dispatch(Widened(work))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_are_put_in_order() {
        let lengths = [3, 0, 2, 3, 0, 1];
        assert_eq!(by_length(lengths.into_iter()), [1, 4, 5, 2, 0, 3]);
        assert_eq!(by_length(std::iter::empty()), [0; 0]);
    }

    #[test]
    fn whole_cases_are_exact() {
        assert_eq!(ln(1.0).to_bits(), 0f64.to_bits());
        assert_eq!(exp_m1(0.0).to_bits(), 0f64.to_bits());
    }

    proptest! {
        #[test]
        fn logarithms_are_those_of_libm(power in -300.0..300.0, near in 0.7..1.5) {
            for x in [libm::exp10(power), near] {
                let expected = libm::log(x);
                let off = (ln(x) - expected).abs();
                prop_assert!(off <= 1e-14 * expected.abs(), "ln {x}: {} {expected}", ln(x));
            }
        }

        #[test]
        fn exponentials_are_those_of_libm(far in -25.0..25.0, near in -1.0..1.0, size in -18.0..0.0) {
            for x in [far, near, near * libm::exp10(size)] {
                let expected = libm::expm1(x);
                let off = (exp_m1(x) - expected).abs();
                prop_assert!(off <= 1e-14 * expected.abs(), "exp_m1 {x}: {} {expected}", exp_m1(x));
            }
        }
    }
}
