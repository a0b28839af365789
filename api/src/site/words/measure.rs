//! The words of `site::measure`.

pub(in crate::site) const UNIT_NOT_KNOWN: &str = " (choose a unit)";
pub(in crate::site) const HOW_MUCH_LIQUID: &str = " (say how much liquid there is, too)";
/// Between the two ends of a range.
pub(in crate::site) const BETWEEN: &str = " to ";
pub(in crate::site) const G_IN_100_ML: &str = "g in 100 mL";
pub(in crate::site) const LITRES: &str = "litres";
pub(in crate::site) const MILLILITRES: &str = "millilitres";
pub(in crate::site) const US_GALLONS: &str = "US gallons";
pub(in crate::site) const IMPERIAL_GALLONS: &str = "imperial gallons";
pub(in crate::site) const US_FLUID_OUNCES: &str = "US fluid ounces";
pub(in crate::site) const IMPERIAL_FLUID_OUNCES: &str = "imperial fluid ounces";
pub(in crate::site) const KILOGRAMS: &str = "kilograms";
pub(in crate::site) const GRAMS: &str = "grams";
pub(in crate::site) const POUNDS: &str = "pounds";
pub(in crate::site) const GRAINS: &str = "grains";
pub(in crate::site) const OUNCES_OF_KITCHEN_SCALE: &str = "ounces of a kitchen scale (avoirdupois)";
pub(in crate::site) const TROY_OUNCES: &str = "troy ounces";
pub(in crate::site) const GRAMS_IN_LITRE: &str = "grams in a litre";
pub(in crate::site) const GRAMS_IN_100_ML: &str = "grams in 100 mL (%)";
pub(in crate::site) const GRAINS_IN_US_FLUID_OUNCE: &str = "grains in a US fluid ounce";
pub(in crate::site) const GRAINS_IN_IMPERIAL_FLUID_OUNCE: &str =
    "grains in an imperial fluid ounce";
pub(in crate::site) const NINTH_PLATE: &str = "ninth plate, 2 × 2½ in";
pub(in crate::site) const SIXTH_PLATE: &str = "sixth plate, 2¾ × 3¼ in";
pub(in crate::site) const QUARTER_PLATE: &str = "quarter plate, 3¼ × 4¼ in";
pub(in crate::site) const US_HALF_PLATE: &str = "half plate, 4¼ × 5½ in";
pub(in crate::site) const HALF_PLATE: &str = "half plate, 4¾ × 6½ in";
pub(in crate::site) const WHOLE_PLATE: &str = "whole plate, 6½ × 8½ in";
pub(in crate::site) const SIZE_4_5_IN: &str = "4 × 5 in";
pub(in crate::site) const SIZE_5_7_IN: &str = "5 × 7 in";
pub(in crate::site) const SIZE_8_10_IN: &str = "8 × 10 in";
pub(in crate::site) const SIZE_11_14_IN: &str = "11 × 14 in";
pub(in crate::site) const SIZE_16_20_IN: &str = "16 × 20 in";
pub(in crate::site) const SIZE_9_12_CM: &str = "9 × 12 cm";
pub(in crate::site) const SIZE_13_18_CM: &str = "13 × 18 cm";
pub(in crate::site) const SIZE_18_24_CM: &str = "18 × 24 cm";
pub(in crate::site) const SIZE_24_30_CM: &str = "24 × 30 cm";
pub(in crate::site) const ROLL: &str =
    "a roll of 120, or 36 exposures of 35 mm (taken as 8 × 10 in: common practice, no source)";
