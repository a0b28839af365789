//! The tests of the calculations, in one binary: a binary apiece costs a link and its
//! disk. `cargo test -p spent-silver-domain NAME::` runs one file.

mod bath_care;
mod budget_cost;
mod chemistry_constants;
mod chemistry_cross_check;
mod chemistry_equilibria;
mod chemistry_formula;
mod chemistry_reference_cases;
mod chemistry_robustness;
mod chemistry_sensitivity;
mod chemistry_support;
mod decision_shipping;
mod decision_verdict;
mod document_findings;
mod document_papers;
mod document_rounding;
mod estimates;
mod numbers;
mod quantities;
mod recovery_common;
mod recovery_equilibrium;
mod recovery_plans;
mod recovery_published;
mod recovery_ways;
mod report_studio;
mod valuation_acceptance;
mod valuation_settlement;
mod waste_classification;
mod waste_compatibility;
mod waste_neutralization;
mod waste_plan_steps;
mod waste_pour;
mod waste_rule_sets;
mod waste_storage;
mod waste_substances;
