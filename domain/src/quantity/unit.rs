//! Kinds and units. A field's suffix and its type agree, and the contract says the unit.

/// One unit of one kind of quantity, with the range a reading in it may have.
pub trait Unit: Copy + Send + Sync + 'static {
    /// Name of the exact quantity in the contract.
    const NAME: &'static str;
    /// Name of the measured form in the contract.
    const MEASURED: &'static str;
    /// Name of the computed figure in the contract.
    const COMPUTED: &'static str;
    /// How a field of this unit ends.
    const SUFFIX: &'static str;
    /// The unit as people write it.
    const SYMBOL: &'static str;
    /// Least value of an input, inclusive.
    const MIN: i64;
    /// Greatest value of an input, inclusive.
    const MAX: i64;
}

macro_rules! units {
    ($($(#[$doc:meta])* $marker:ident: $exact:ident, $measured:ident, $computed:ident, $suffix:literal, $symbol:literal, $min:literal ..= $max:literal;)*) => {
        $(
            #[doc = concat!("The unit ", $symbol, ".")]
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum $marker {}

            impl Unit for $marker {
                const NAME: &'static str = stringify!($exact);
                const MEASURED: &'static str = stringify!($measured);
                const COMPUTED: &'static str = stringify!($computed);
                const SUFFIX: &'static str = $suffix;
                const SYMBOL: &'static str = $symbol;
                const MIN: i64 = $min;
                const MAX: i64 = $max;
            }

            $(#[$doc])*
            pub type $exact = super::Quantity<$marker>;
            #[doc = concat!("A reading in ", $symbol, " with how sure it is.")]
            pub type $measured = super::Measured<$marker>;
            #[doc = concat!("A computed figure in ", $symbol, ".")]
            pub type $computed = super::Computed<$marker>;
        )*

        /// Every unit: its contract names and its field suffix.
        pub const UNITS: &[UnitRow] = &[
            $(UnitRow { exact: stringify!($exact), measured: stringify!($measured), computed: stringify!($computed), suffix: $suffix, symbol: $symbol },)*
        ];
    };
}

/// One row of [`UNITS`].
#[derive(Debug, Clone, Copy)]
pub struct UnitRow {
    /// Contract name of the exact quantity.
    pub exact: &'static str,
    /// Contract name of the measured form.
    pub measured: &'static str,
    /// Contract name of the computed figure.
    pub computed: &'static str,
    /// How a field of this unit ends.
    pub suffix: &'static str,
    /// The unit as people write it.
    pub symbol: &'static str,
}

units! {
    /// Volume in millilitres.
    Millilitre: Millilitres, MeasuredMillilitres, ComputedMillilitres, "ml", "mL", 0 ..= 1_000_000_000;
    /// Volume in litres.
    Litre: Litres, MeasuredLitres, ComputedLitres, "l", "L", 0 ..= 1_000_000;
    /// Mass in grams.
    Gram: Grams, MeasuredGrams, ComputedGrams, "g", "g", 0 ..= 1_000_000_000;
    /// Mass in milligrams.
    Milligram: Milligrams, MeasuredMilligrams, ComputedMilligrams, "mg", "mg", 0 ..= 1_000_000_000;
    /// Mass in kilograms.
    Kilogram: Kilograms, MeasuredKilograms, ComputedKilograms, "kg", "kg", 0 ..= 1_000_000;
    /// Mass in troy ounces.
    TroyOunce: TroyOunces, MeasuredTroyOunces, ComputedTroyOunces, "ozt", "ozt", 0 ..= 100_000_000;
    /// Amount of substance in moles.
    Mole: Moles, MeasuredMoles, ComputedMoles, "mol", "mol", 0 ..= 1_000_000;
    /// Length in centimetres.
    Centimetre: Centimetres, MeasuredCentimetres, ComputedCentimetres, "cm", "cm", 0 ..= 1_000_000;
    /// Distance in kilometres.
    Kilometre: Kilometres, MeasuredKilometres, ComputedKilometres, "km", "km", 0 ..= 100_000;
    /// Area in square metres.
    SquareMetre: SquareMetres, MeasuredSquareMetres, ComputedSquareMetres, "m2", "m2", 0 ..= 1_000_000;
    /// Amount concentration in moles per litre.
    MolePerLitre: MolesPerLitre, MeasuredMolesPerLitre, ComputedMolesPerLitre, "mol_per_l", "mol/L", 0 ..= 30;
    /// Mass concentration in grams per litre.
    GramPerLitre: GramsPerLitre, MeasuredGramsPerLitre, ComputedGramsPerLitre, "g_per_l", "g/L", 0 ..= 3_000;
    /// Mass concentration in milligrams per litre.
    MilligramPerLitre: MilligramsPerLitre, MeasuredMilligramsPerLitre, ComputedMilligramsPerLitre, "mg_per_l", "mg/L", 0 ..= 3_000_000;
    /// Mass content in milligrams per kilogram.
    MilligramPerKilogram: MilligramsPerKilogram, MeasuredMilligramsPerKilogram, ComputedMilligramsPerKilogram, "mg_per_kg", "mg/kg", 0 ..= 1_000_000;
    /// Density in grams per millilitre.
    GramPerMillilitre: GramsPerMillilitre, MeasuredGramsPerMillilitre, ComputedGramsPerMillilitre, "g_per_ml", "g/mL", 0 ..= 20;
    /// Molar mass in grams per mole.
    GramPerMole: GramsPerMole, MeasuredGramsPerMole, ComputedGramsPerMole, "g_per_mol", "g/mol", 0 ..= 100_000;
    /// Mass per area in grams per square metre.
    GramPerSquareMetre: GramsPerSquareMetre, MeasuredGramsPerSquareMetre, ComputedGramsPerSquareMetre, "g_per_m2", "g/m2", 0 ..= 10_000;
    /// Liquid taken along per area, in millilitres per square metre.
    MillilitrePerSquareMetre: MillilitresPerSquareMetre, MeasuredMillilitresPerSquareMetre, ComputedMillilitresPerSquareMetre, "ml_per_m2", "mL/m2", 0 ..= 10_000;
    /// Flow in litres per hour.
    LitrePerHour: LitresPerHour, MeasuredLitresPerHour, ComputedLitresPerHour, "l_per_h", "L/h", 0 ..= 1_000_000;
    /// Silver gained per time, in grams per month.
    GramPerMonth: GramsPerMonth, MeasuredGramsPerMonth, ComputedGramsPerMonth, "g_per_month", "g/month", 0 ..= 1_000_000;
    /// Volume gained per time, in litres per month.
    LitrePerMonth: LitresPerMonth, MeasuredLitresPerMonth, ComputedLitresPerMonth, "l_per_month", "L/month", 0 ..= 1_000_000;
    /// Temperature in degrees Celsius.
    DegreeCelsius: DegreesCelsius, MeasuredDegreesCelsius, ComputedDegreesCelsius, "c", "°C", -100 ..= 1_000;
    /// Time in seconds.
    Second: Seconds, MeasuredSeconds, ComputedSeconds, "s", "s", 0 ..= 100_000_000_000;
    /// Time in hours.
    Hour: Hours, MeasuredHours, ComputedHours, "h", "h", 0 ..= 100_000;
    /// Time in days.
    Day: Days, MeasuredDays, ComputedDays, "d", "d", 0 ..= 100_000;
    /// Time in months.
    Month: Months, MeasuredMonths, ComputedMonths, "months", "months", 0 ..= 10_000;
    /// Electric current in amperes.
    Ampere: Amperes, MeasuredAmperes, ComputedAmperes, "a", "A", 0 ..= 10_000;
    /// Electric charge in ampere hours.
    AmpereHour: AmpereHours, MeasuredAmpereHours, ComputedAmpereHours, "ah", "Ah", 0 ..= 1_000_000;
    /// A share in percent, 0 to 100.
    PercentUnit: Percent, MeasuredPercent, ComputedPercent, "percent", "%", 0 ..= 100;
    /// What a maker asks above the value of the metal, in percent of that value.
    PremiumUnit: PremiumPercent, MeasuredPremiumPercent, ComputedPremiumPercent, "premium_percent", "% above the metal", 0 ..= 10_000;
    /// A concentration in grams per 100 millilitres.
    PercentWeightPerVolume: PercentWV, MeasuredPercentWV, ComputedPercentWV, "percent_w_v", "% w/v", 0 ..= 300;
    /// A share by mass in percent.
    PercentWeight: PercentWW, MeasuredPercentWW, ComputedPercentWW, "percent_w_w", "% w/w", 0 ..= 100;
    /// A share by volume in percent.
    PercentVolume: PercentVV, MeasuredPercentVV, ComputedPercentVV, "percent_v_v", "% v/v", 0 ..= 100;
    /// Molality in moles per kilogram of water.
    MolePerKilogram: MolesPerKilogram, MeasuredMolesPerKilogram, ComputedMolesPerKilogram, "mol_per_kg", "mol/kg", 0 ..= 100;
    /// Electric potential in volts, against the standard hydrogen electrode.
    VoltUnit: Volts, MeasuredVolts, ComputedVolts, "v", "V", -10 ..= 10;
    /// Minus log10 of the activity of the free silver ion.
    PagUnit: Pag, MeasuredPag, ComputedPag, "pag", "pAg", -5 ..= 100;
    /// An activity on the molal scale.
    ActivityUnit: Activity, MeasuredActivity, ComputedActivity, "activity", "", 0 ..= 1_000;
    /// log10 of an activity on the molal scale.
    LogActivityUnit: LogActivity, MeasuredLogActivity, ComputedLogActivity, "log10_activity", "", -1_000 ..= 10;
    /// log10 of the ion activity product of a solid over its constant.
    SaturationIndexUnit: SaturationIndex, MeasuredSaturationIndex, ComputedSaturationIndex, "saturation_index", "", -1_000 ..= 1_000;
    /// log10 of an equilibrium constant, or its uncertainty.
    LogConstantUnit: LogConstant, MeasuredLogConstant, ComputedLogConstant, "log_k", "", -1_000 ..= 1_000;
    /// pH.
    PhUnit: Ph, MeasuredPh, ComputedPh, "ph", "pH", -2 ..= 16;
    /// A share of a gas by volume in parts per million.
    PartPerMillion: Ppm, MeasuredPpm, ComputedPpm, "ppm", "ppm", 0 ..= 1_000_000;
    /// A plain ratio.
    Ratio: Factor, MeasuredFactor, ComputedFactor, "factor", "", 0 ..= 1_000_000;
}
