//! Colours and colour maps that survive grey printing.

/// A colour in sRGB, eight bits a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Colour {
    /// Red, 0 to 255.
    pub red: u8,
    /// Green, 0 to 255.
    pub green: u8,
    /// Blue, 0 to 255.
    pub blue: u8,
}

impl Colour {
    /// Colour from its usual six hexadecimal digits, `0xRRGGBB`.
    pub const fn hex(digits: u32) -> Self {
        Self {
            red: (digits >> 16) as u8,
            green: (digits >> 8) as u8,
            blue: digits as u8,
        }
    }

    /// The colour as SVG and CSS write it, `#rrggbb`.
    pub fn to_hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.red, self.green, self.blue)
    }

    /// Relative luminance, 0 (black) to 1 (white).
    ///
    /// # Theory
    /// Definition of relative luminance in the Web Content Accessibility Guidelines 2.1.
    pub fn luminance(self) -> f64 {
        let linear = |channel: u8| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.03928 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * linear(self.red) + 0.7152 * linear(self.green) + 0.0722 * linear(self.blue)
    }

    /// Contrast ratio with `other`, 1 (none) to 21 (black on white).
    ///
    /// # Theory
    /// Contrast ratio in the Web Content Accessibility Guidelines 2.1.
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// Whichever of black-ish and white reads better on this colour.
    pub(crate) fn ink_on(self) -> Self {
        let (dark, light) = (Self::hex(0x10151b), Self::hex(0xffffff));
        if self.contrast(dark) >= self.contrast(light) {
            dark
        } else {
            light
        }
    }
}

/// How numbers become colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ColourMap {
    /// Dark violet over green to yellow; grows lighter all the way, so it survives grey.
    #[default]
    Viridis,
    /// Dark blue over grey to yellow; made to look alike with and without colour blindness.
    Cividis,
    /// Violet below zero, white at zero, green above. Only for values with a true zero; the
    /// range is made symmetric about it. In grey the sign is lost, so negative contour
    /// lines are dashed.
    Diverging,
}

impl ColourMap {
    /// Colour at `fraction` of the range, 0 to 1; beyond it the end colours.
    pub fn at(self, fraction: f64) -> Colour {
        let gradient = match self {
            Self::Viridis => colorous::VIRIDIS,
            Self::Cividis => colorous::CIVIDIS,
            Self::Diverging => colorous::PURPLE_GREEN,
        };
        let colour = gradient.eval_continuous(fraction.clamp(0.0, 1.0));
        Colour {
            red: colour.r,
            green: colour.g,
            blue: colour.b,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sequential_maps_grow_lighter_all_the_way() {
        for map in [ColourMap::Viridis, ColourMap::Cividis] {
            let luminance: Vec<f64> = (0..=100)
                .map(|i| map.at(f64::from(i) / 100.0).luminance())
                .collect();
            for (i, pair) in luminance.windows(2).enumerate() {
                assert!(pair[1] > pair[0], "{map:?} darkens at {i} %");
            }
            assert!(luminance[100] / luminance[0].max(1e-3) > 20.0);
        }
    }

    /// End colours as published with the map (van der Walt and Smith, 2015): #440154 and
    /// #fde725.
    #[test]
    fn viridis_has_its_published_ends() {
        assert_eq!(ColourMap::Viridis.at(0.0).to_hex(), "#440154");
        assert_eq!(ColourMap::Viridis.at(1.0), Colour::hex(0xfde725));
        assert_eq!(ColourMap::Viridis.at(f64::INFINITY), Colour::hex(0xfde725));
    }

    #[test]
    fn diverging_map_is_lightest_at_zero_and_darkens_both_ways() {
        let at = |f: f64| ColourMap::Diverging.at(f).luminance();
        assert!(at(0.5) > 0.85);
        assert!(at(0.25) < at(0.5) && at(0.0) < at(0.25));
        assert!(at(0.75) < at(0.5) && at(1.0) < at(0.75));
    }

    /// Black on white is 21 and white on white 1 by the guideline's own definition.
    #[test]
    fn contrast_of_the_extremes() {
        let (black, white) = (Colour::hex(0), Colour::hex(0xffffff));
        assert!((black.contrast(white) - 21.0).abs() < 1e-9);
        assert!((white.contrast(white) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn ink_is_readable_on_every_colour_of_every_map() {
        for map in [ColourMap::Viridis, ColourMap::Cividis, ColourMap::Diverging] {
            for i in 0..=100 {
                let ground = map.at(f64::from(i) / 100.0);
                assert!(ground.contrast(ground.ink_on()) >= 4.0, "{map:?} at {i} %");
            }
        }
    }
}
