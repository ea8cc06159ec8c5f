//! Turns the typesetter's paints into WCAG luminance and contrast.
//! Invariant: what is no plain colour has no luminance, and counts as invisible.
//! Must not: know where a colour is used, or which contrast is enough.

use typst::visualize::{Color, Paint};

use crate::contrast::against_white;

/// WCAG 2 contrast against white; anything that is not a plain colour counts as invisible.
pub(super) fn contrast(paint: &Paint) -> f64 {
    luminance(paint).map_or(1.0, against_white)
}

/// WCAG 2 relative luminance of a colour as it shows on white paper; none for anything that is not a plain colour.
pub(super) fn luminance(paint: &Paint) -> Option<f64> {
    let Paint::Solid(color) = paint else {
        return None;
    };
    let rgb = color.to_rgb();
    Some(crate::contrast::luminance(
        f64::from(rgb.red),
        f64::from(rgb.green),
        f64::from(rgb.blue),
        f64::from(rgb.alpha),
    ))
}

/// The contrast of a grey or coloured text on white, for tests and for accent colours.
pub fn contrast_of(red: u8, green: u8, blue: u8) -> f64 {
    contrast(&Paint::Solid(Color::from_u8(red, green, blue, 255)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Anchors of the WCAG formula (document-standards, section 3): #767676 4.54, #777777 4.48, #595959 7.00, black 21.
    #[test]
    fn contrast_follows_wcag() {
        for (grey, expected) in [
            (0x76, 4.54),
            (0x77, 4.48),
            (0x59, 7.00),
            (0x94, 3.03),
            (0x00, 21.0),
        ] {
            let found = contrast_of(grey, grey, grey);
            assert!((found - expected).abs() < 0.006, "{grey:x}: {found}");
        }
        assert!((contrast_of(255, 255, 255) - 1.0).abs() < 1e-9);
    }
}
