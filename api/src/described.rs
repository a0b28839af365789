//! How a type describes itself in the contract.

use utoipa::ToSchema;
use utoipa::openapi::{Object, RefOr, Schema};

/// How a type describes itself.
#[derive(Clone, Copy)]
pub struct Described {
    name: fn() -> std::borrow::Cow<'static, str>,
    schema: fn() -> RefOr<Schema>,
    parts: fn(&mut Vec<(String, RefOr<Schema>)>),
}

impl Described {
    /// How `T` describes itself.
    #[must_use]
    pub fn by<T: ToSchema>() -> Self {
        Self {
            name: T::name,
            schema: T::schema,
            parts: T::schemas,
        }
    }

    /// Name of the schema.
    #[must_use]
    pub fn name(&self) -> String {
        (self.name)().into_owned()
    }

    /// The schema itself.
    #[must_use]
    pub fn schema(&self) -> RefOr<Schema> {
        (self.schema)()
    }

    /// The schema, where it is an object's.
    pub(super) fn object(&self) -> Option<Object> {
        match self.schema() {
            RefOr::T(Schema::Object(object)) => Some(object),
            _ => None,
        }
    }

    /// Schemas it refers to.
    #[must_use]
    pub fn parts(&self) -> Vec<(String, RefOr<Schema>)> {
        let mut parts = Vec::new();
        (self.parts)(&mut parts);
        parts
    }
}
