//! Molar masses and physical constants that formulas name directly.
//!
//! Atomic weights: IUPAC conventional and abridged (H 1.008, B 10.81, C 12.011, N 14.007, O 15.999,
//! Na 22.98976928, S 32.06, Cl 35.45, K 39.0983, Fe 55.845, Cu 63.546, Zn 65.38, Br 79.904,
//! Ag 107.8682, I 126.90447).

/// Molar mass of silver, g/mol.
pub const SILVER: f64 = 107.8682;
/// Molar mass of silver nitrate, g/mol.
pub const SILVER_NITRATE: f64 = 169.8722;
/// Molar mass of silver chloride, g/mol.
pub const SILVER_CHLORIDE: f64 = 143.3182;
/// Molar mass of silver bromide, g/mol.
pub const SILVER_BROMIDE: f64 = 187.7722;
/// Molar mass of silver iodide, g/mol.
pub const SILVER_IODIDE: f64 = 234.77267;
/// Molar mass of silver sulfide, g/mol.
pub const SILVER_SULFIDE: f64 = 247.7964;
/// Molar mass of silver oxide, g/mol.
pub const SILVER_OXIDE: f64 = 231.7354;
/// Molar mass of sodium chloride, g/mol.
pub const SODIUM_CHLORIDE: f64 = 58.43976928;
/// Molar mass of nitric acid, g/mol.
pub const NITRIC_ACID: f64 = 63.012;
/// Molar mass of acetic acid, g/mol.
pub const ACETIC_ACID: f64 = 60.052;
/// Molar mass of sodium bicarbonate, g/mol.
pub const SODIUM_BICARBONATE: f64 = 84.00576928;
/// Molar mass of sodium carbonate, g/mol.
pub const SODIUM_CARBONATE: f64 = 105.98753856;
/// Molar mass of sodium hydroxide, g/mol.
pub const SODIUM_HYDROXIDE: f64 = 39.99676928;
/// Molar mass of sodium sulfide nonahydrate, g/mol.
pub const SODIUM_SULFIDE_NONAHYDRATE: f64 = 240.17453856;
/// Molar mass of sulfuric acid, g/mol.
pub const SULFURIC_ACID: f64 = 98.072;
/// Molar mass of dextrose, g/mol.
pub const DEXTROSE: f64 = 180.156;
/// Molar mass of trisodium trimercaptotriazine, g/mol.
pub const SODIUM_TRIMERCAPTOTRIAZINE: f64 = 243.20330784;
/// Molar mass of silver trimercaptotriazine, three silver to one, g/mol.
pub const SILVER_TRIMERCAPTOTRIAZINE: f64 = 497.8386;
/// Molar mass of sodium borohydride, g/mol.
pub const SODIUM_BOROHYDRIDE: f64 = 37.83176928;
/// Molar mass of sodium dithionite, g/mol.
pub const SODIUM_DITHIONITE: f64 = 174.09553856;
/// Molar mass of carbon dioxide, g/mol.
pub const CARBON_DIOXIDE: f64 = 44.009;
/// Molar mass of iron, g/mol.
pub const IRON: f64 = 55.845;
/// Molar mass of copper, g/mol.
pub const COPPER: f64 = 63.546;
/// Molar mass of zinc, g/mol.
pub const ZINC: f64 = 65.38;
/// Faraday constant, C/mol (exact by the SI of 2019).
pub const FARADAY_C_PER_MOL: f64 = 96_485.332_12;
/// Silver per ampere hour at full current efficiency, g: 3600 M(Ag) / F.
pub const SILVER_G_PER_AMPERE_HOUR: f64 = 3600.0 * SILVER / FARADAY_C_PER_MOL;
/// Silver in silver nitrate by mass.
pub const SILVER_IN_NITRATE: f64 = SILVER / SILVER_NITRATE;
/// Silver in silver chloride by mass.
pub const SILVER_IN_CHLORIDE: f64 = SILVER / SILVER_CHLORIDE;
