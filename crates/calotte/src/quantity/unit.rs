//! Units in which quantities are shown.

/// Unit in which a quantity is shown; inside it is SI.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// None: shares, indices, factors, numbers of things.
    One,
    /// Millimetre; inside m.
    Millimetre,
    /// Degree; inside rad.
    Degree,
    /// Kilogram.
    Kilogram,
    /// Newton metre.
    NewtonMetre,
    /// Newton per millimetre; inside N/m.
    NewtonPerMillimetre,
}

impl Unit {
    /// As it ends a name, without the underline; empty for none.
    pub const fn suffix(self) -> &'static str {
        match self {
            Unit::One => "",
            Unit::Millimetre => "mm",
            Unit::Degree => "deg",
            Unit::Kilogram => "kg",
            Unit::NewtonMetre => "nm",
            Unit::NewtonPerMillimetre => "n_per_mm",
        }
    }

    /// As it is printed; empty for none.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::One => "",
            Unit::Millimetre => "mm",
            Unit::Degree => "°",
            Unit::Kilogram => "kg",
            Unit::NewtonMetre => "N·m",
            Unit::NewtonPerMillimetre => "N/mm",
        }
    }

    /// Factor from SI.
    pub const fn factor(self) -> f64 {
        match self {
            Unit::One | Unit::Kilogram | Unit::NewtonMetre => 1.0,
            Unit::Millimetre => 1e3,
            Unit::Degree => 180.0 / std::f64::consts::PI,
            Unit::NewtonPerMillimetre => 1e-3,
        }
    }

    /// A name with its unit: `holding_torque_nm`.
    pub fn after(self, name: &str) -> String {
        match self {
            Unit::One => name.to_string(),
            _ => format!("{name}_{}", self.suffix()),
        }
    }
}
