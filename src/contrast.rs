//! Turns a colour into its contrast against white paper.
//! Invariant: the formula of WCAG 2.x, between 1 (white) and 21 (black).
//! Must not: round, or decide what is enough (the callers name their own least value).

/// Contrast of body text that the papers ask for: WCAG 2 level AAA.
pub const TEXT: f64 = 7.0;

/// Relative luminance of a colour given as shares of red, green and blue from 0 to 1 (sRGB), after mixing it with the white below
/// by `alpha`. Source: W3C, WCAG 2.2, "relative luminance".
pub fn luminance(red: f64, green: f64, blue: f64, alpha: f64) -> f64 {
    let linear = |part: f64| {
        if part <= 0.040_45 {
            part / 12.92
        } else {
            ((part + 0.055) / 1.055).powf(2.4)
        }
    };
    let shown = |part: f64| 1.0 - alpha * (1.0 - linear(part));
    0.2126 * shown(red) + 0.7152 * shown(green) + 0.0722 * shown(blue)
}

/// Contrast of a luminance against white. Source: W3C, WCAG 2.2, "contrast ratio".
pub fn against_white(luminance: f64) -> f64 {
    1.05 / (luminance + 0.05)
}

/// The three parts of a colour written as `#` and six hexadecimal digits; `None` for any other writing.
pub fn hexadecimal(colour: &str) -> Option<[u8; 3]> {
    let digits = colour.strip_prefix('#')?;
    if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let part = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
    Some([part(0)?, part(2)?, part(4)?])
}

/// Contrast of an opaque colour of eight bits a part.
pub fn of(rgb: [u8; 3]) -> f64 {
    let [red, green, blue] = rgb.map(|part| f64::from(part) / 255.0);
    against_white(luminance(red, green, blue, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Greys on white as WebAIM ("Contrast and Color Accessibility") and many others publish them: #767676 4.54 passes
    /// level AA, #777777 4.48 does not; #595959 7.00 is the lightest grey of level AAA.
    #[test]
    fn published_anchors() {
        for (colour, expected) in [
            ("#767676", 4.54),
            ("#777777", 4.48),
            ("#595959", 7.00),
            ("#000000", 21.0),
            ("#ffffff", 1.0),
        ] {
            let found = of(hexadecimal(colour).expect("six digits"));
            assert!((found - expected).abs() < 0.006, "{colour}: {found}");
        }
    }

    /// The weights of the three parts are not alike: pure green is the lightest, pure blue the darkest (from the formula).
    #[test]
    fn parts_weigh_differently_and_alpha_lightens() {
        let [red, green, blue] = [[255, 0, 0], [0, 255, 0], [0, 0, 255]].map(of);
        assert!(green < red && red < blue, "{red} {green} {blue}");
        // 1.05 / (0.2126 + 0.05)
        assert!((red - 3.998).abs() < 0.001, "{red}");
        assert!(against_white(luminance(0.0, 0.0, 0.0, 0.5)) < 21.0);
        assert!((against_white(luminance(0.0, 0.0, 0.0, 0.0)) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn only_six_digits_are_a_colour() {
        assert_eq!(hexadecimal("#0b4a54"), Some([0x0b, 0x4a, 0x54]));
        for wrong in [
            "0b4a54", "#0b4a5", "#0b4a544", "#0b4a5g", "teal", "#é4a54", "",
        ] {
            assert_eq!(hexadecimal(wrong), None, "{wrong}");
        }
    }
}
