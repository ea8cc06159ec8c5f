//! Turns a frequency into the CIOMS III word band that regulators use for it.
//! Invariant: the boundaries are those of the EU guideline on product texts (K1: D21, published): lower edge included, upper not.
//! Must not: be printed to patients in place of a number; words alone are read far too high (D24, D25, published).

/// Bands of CIOMS III as used in product texts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Band {
    /// At least 1 in 10.
    VeryCommon,
    /// At least 1 in 100, fewer than 1 in 10.
    Common,
    /// At least 1 in 1,000, fewer than 1 in 100.
    Uncommon,
    /// At least 1 in 10,000, fewer than 1 in 1,000.
    Rare,
    /// Fewer than 1 in 10,000.
    VeryRare,
}

impl Band {
    /// The band of `affected` out of `per`; none when nobody was affected, because none seen does not mean never.
    pub fn of(affected: f64, per: u32) -> Option<Band> {
        let per = f64::from(per);
        // multiplied, not divided, so that 1 in 10 is exactly on its edge
        let at_least = |one_in: f64| affected * one_in >= per;
        match affected {
            a if a <= 0.0 => None,
            _ if at_least(10.0) => Some(Band::VeryCommon),
            _ if at_least(100.0) => Some(Band::Common),
            _ if at_least(1_000.0) => Some(Band::Uncommon),
            _ if at_least(10_000.0) => Some(Band::Rare),
            _ => Some(Band::VeryRare),
        }
    }

    /// The band's name in product texts.
    pub fn as_str(self) -> &'static str {
        match self {
            Band::VeryCommon => "very common",
            Band::Common => "common",
            Band::Uncommon => "uncommon",
            Band::Rare => "rare",
            Band::VeryRare => "very rare",
        }
    }
}
