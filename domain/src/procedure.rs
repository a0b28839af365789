//! Steps a person carries out, and refusals to give any.

use crate::quantity::{ComputedGrams, ComputedMillilitres, Identifier};
use serde::Serialize;
use std::borrow::Cow;

/// One numbered step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Step {
    /// What to do, as an order to a person.
    pub action: Cow<'static, str>,
    /// What the step pours or sprinkles in; checked against the batch before the plan is returned.
    pub adds: Vec<Addition>,
    /// Cautions that belong to this step and are printed with it.
    pub cautions: Vec<Cow<'static, str>>,
    /// How the person sees that the step is done.
    pub check: Option<Cow<'static, str>>,
}

/// A reagent that a step adds.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Addition {
    /// Id of the substance.
    pub substance: Identifier,
    /// Mass, for a solid.
    pub mass_g: Option<ComputedGrams>,
    /// Volume, for a liquid.
    pub volume_ml: Option<ComputedMillilitres>,
}

/// No plan is given, and why. No renderer drops a part of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Refusal {
    /// Why, with the number where there is one.
    pub reason: String,
    /// What never to do.
    pub never: Vec<String>,
    /// What to do instead.
    pub instead: Vec<String>,
    /// Who to call.
    pub call: Vec<String>,
}

impl Step {
    /// A step that only says what to do.
    #[must_use]
    pub fn new(action: impl Into<Cow<'static, str>>) -> Self {
        Self {
            action: action.into(),
            adds: Vec::new(),
            cautions: Vec::new(),
            check: None,
        }
    }

    /// The step with a caution.
    #[must_use]
    pub fn caution(mut self, text: impl Into<Cow<'static, str>>) -> Self {
        self.cautions.push(text.into());
        self
    }

    /// The step with the sign that it is done.
    #[must_use]
    pub fn done_when(mut self, text: impl Into<Cow<'static, str>>) -> Self {
        self.check = Some(text.into());
        self
    }

    /// The step with a reagent it adds.
    #[must_use]
    pub fn adding(mut self, addition: Addition) -> Self {
        self.adds.push(addition);
        self
    }
}
