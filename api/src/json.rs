//! Writes answers as JSON: the same bytes as `serde_json` writes, in a fraction of the time.
//!
//! An answer is mostly text, and nearly all of its text needs no escape. A text is looked over
//! many bytes at a time and copied whole; what is not text, and the rare text that needs escapes,
//! goes to `serde_json`.

use serde::ser::{
    Error as _, Serialize, SerializeMap, SerializeSeq, SerializeStruct, SerializeStructVariant,
    SerializeTuple, SerializeTupleStruct, SerializeTupleVariant, Serializer,
};
use serde_json::Error;

/// The value as JSON.
///
/// # Errors
/// When the value refuses to be written, or a map has a key that is not text.
pub fn to_vec<T: Serialize + ?Sized>(value: &T) -> Result<Vec<u8>, Error> {
    let mut out = Vec::with_capacity(8192);
    value.serialize(Writer { out: &mut out })?;
    Ok(out)
}

struct Writer<'a> {
    out: &'a mut Vec<u8>,
}

/// An object or a list that is being written.
struct Open<'a> {
    out: &'a mut Vec<u8>,
    first: bool,
    end: &'static [u8],
}

/// Whether JSON writes this text as it stands: no control character, no quote, no backslash.
fn is_plain(text: &str) -> bool {
    let (eights, rest) = text.as_bytes().as_chunks::<8>();
    let marks = eights
        .iter()
        .fold(0, |marks, eight| marks | marked(u64::from_le_bytes(*eight)));
    marks == 0
        && match text.as_bytes().last_chunk::<8>() {
            // The last eight overlap what was seen, which costs less than going one by one.
            Some(last) if !rest.is_empty() => marked(u64::from_le_bytes(*last)) == 0,
            Some(_) => true,
            None => rest
                .iter()
                .all(|b| *b >= b' ' && !matches!(b, b'"' | b'\\')),
        }
}

const EACH: u64 = u64::from_le_bytes([1; 8]);
const HIGHEST: u64 = u64::from_le_bytes([0x80; 8]);

const fn below(x: u64, least: u64) -> u64 {
    x.wrapping_sub(least) & !x
}

/// Marks, as [`marked`] does, which of eight bytes are a quote, a brace or a bracket. A bracket
/// differs from a brace in one bit alone.
pub(crate) const fn framing(eight: u64) -> u64 {
    let folded = eight | (EACH * 0x20);
    let quote = eight ^ (EACH * b'"' as u64);
    let open = folded ^ (EACH * b'{' as u64);
    let close = folded ^ (EACH * b'}' as u64);
    (below(quote, EACH) | below(open, EACH) | below(close, EACH)) & HIGHEST
}

/// Marks, by their highest bit, which of eight bytes need an escape: the first mark is right, those
/// above it need not be. Taking one from each byte of x borrows into
/// its highest bit where the byte was zero; taking a space, where it was below a space.
pub(crate) const fn marked(eight: u64) -> u64 {
    let quote = eight ^ (EACH * b'"' as u64);
    let backslash = eight ^ (EACH * b'\\' as u64);
    (below(eight, EACH * b' ' as u64) | below(quote, EACH) | below(backslash, EACH)) & HIGHEST
}

fn write_text(out: &mut Vec<u8>, text: &str) -> Result<(), Error> {
    if !is_plain(text) {
        return serde_json::to_writer(out, text);
    }
    out.reserve(text.len() + 3);
    out.push(b'"');
    out.extend_from_slice(text.as_bytes());
    out.push(b'"');
    Ok(())
}

impl<'a> Writer<'a> {
    fn rest<T: Serialize>(self, value: &T) -> Result<(), Error> {
        serde_json::to_writer(self.out, value)
    }

    fn open(self, begin: u8, end: &'static [u8]) -> Open<'a> {
        self.out.push(begin);
        Open {
            out: self.out,
            first: true,
            end,
        }
    }

    /// `{"variant":`
    fn tag(&mut self, variant: &str) -> Result<(), Error> {
        self.out.push(b'{');
        write_text(self.out, variant)?;
        self.out.push(b':');
        Ok(())
    }
}

impl Open<'_> {
    fn separate(&mut self) {
        if !self.first {
            self.out.push(b',');
        }
        self.first = false;
    }

    fn item<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.separate();
        value.serialize(Writer { out: self.out })
    }

    /// A member whose name was fixed when the program was built: it is seldom long, and the tests
    /// see that each is plain.
    fn member<T: Serialize + ?Sized>(
        &mut self,
        name: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        debug_assert!(is_plain(name), "the name of a member needs no escapes");
        self.out.reserve(name.len() + 4);
        self.separate();
        self.out.push(b'"');
        self.out.extend_from_slice(name.as_bytes());
        self.out.extend_from_slice(b"\":");
        value.serialize(Writer { out: self.out })
    }

    fn close(self) {
        self.out.extend_from_slice(self.end);
    }
}

/// Methods that leave a value to `serde_json`.
macro_rules! rest {
    ($($method:ident: $kind:ty),* $(,)?) => {
        $(fn $method(self, value: $kind) -> Result<(), Error> {
            self.rest(&value)
        })*
    };
}

impl<'a> Serializer for Writer<'a> {
    type Ok = ();
    type Error = Error;
    type SerializeSeq = Open<'a>;
    type SerializeTuple = Open<'a>;
    type SerializeTupleStruct = Open<'a>;
    type SerializeTupleVariant = Open<'a>;
    type SerializeMap = Open<'a>;
    type SerializeStruct = Open<'a>;
    type SerializeStructVariant = Open<'a>;

    rest! {
        serialize_bool: bool,
        serialize_i8: i8,
        serialize_i16: i16,
        serialize_i32: i32,
        serialize_i64: i64,
        serialize_u8: u8,
        serialize_u16: u16,
        serialize_u32: u32,
        serialize_u64: u64,
        serialize_f32: f32,
        serialize_f64: f64,
        serialize_char: char,
        serialize_bytes: &[u8],
    }

    fn serialize_str(self, text: &str) -> Result<(), Error> {
        write_text(self.out, text)
    }

    fn serialize_none(self) -> Result<(), Error> {
        self.serialize_unit()
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Error> {
        self.out.extend_from_slice(b"null");
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Error> {
        self.serialize_unit()
    }

    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
    ) -> Result<(), Error> {
        write_text(self.out, variant)
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        mut self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<(), Error> {
        self.tag(variant)?;
        value.serialize(Writer { out: self.out })?;
        self.out.push(b'}');
        Ok(())
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Open<'a>, Error> {
        Ok(self.open(b'[', b"]"))
    }

    fn serialize_tuple(self, _: usize) -> Result<Open<'a>, Error> {
        Ok(self.open(b'[', b"]"))
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Open<'a>, Error> {
        Ok(self.open(b'[', b"]"))
    }

    fn serialize_tuple_variant(
        mut self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Open<'a>, Error> {
        self.tag(variant)?;
        Ok(self.open(b'[', b"]}"))
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Open<'a>, Error> {
        Ok(self.open(b'{', b"}"))
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Open<'a>, Error> {
        Ok(self.open(b'{', b"}"))
    }

    fn serialize_struct_variant(
        mut self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Open<'a>, Error> {
        self.tag(variant)?;
        Ok(self.open(b'{', b"}}"))
    }
}

/// A list of some kind: every item in turn, then the end.
macro_rules! list {
    ($($kind:ident::$method:ident),*) => {
        $(impl $kind for Open<'_> {
            type Ok = ();
            type Error = Error;

            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
                self.item(value)
            }

            fn end(self) -> Result<(), Error> {
                self.close();
                Ok(())
            }
        })*
    };
}

list!(
    SerializeSeq::serialize_element,
    SerializeTuple::serialize_element,
    SerializeTupleStruct::serialize_field,
    SerializeTupleVariant::serialize_field
);

/// An object with members of fixed names.
macro_rules! object {
    ($($kind:ident),*) => {
        $(impl $kind for Open<'_> {
            type Ok = ();
            type Error = Error;

            fn serialize_field<T: Serialize + ?Sized>(
                &mut self,
                name: &'static str,
                value: &T,
            ) -> Result<(), Error> {
                self.member(name, value)
            }

            fn end(self) -> Result<(), Error> {
                self.close();
                Ok(())
            }
        })*
    };
}

object!(SerializeStruct, SerializeStructVariant);

impl SerializeMap for Open<'_> {
    type Ok = ();
    type Error = Error;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Error> {
        self.separate();
        let start = self.out.len();
        key.serialize(Writer { out: self.out })?;
        if self.out.get(start) != Some(&b'"') {
            return Err(Error::custom("the name of a member must be text"));
        }
        Ok(())
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Error> {
        self.out.push(b':');
        value.serialize(Writer { out: self.out })
    }

    fn end(self) -> Result<(), Error> {
        self.close();
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::to_vec;
    use crate::operation::operations;
    use serde::Serialize;
    use std::collections::BTreeMap;

    #[derive(Serialize)]
    enum Choice {
        Plain,
        New(u8),
        Pair(u8, char),
        Full { text: &'static str },
        Empty {},
    }

    #[derive(Serialize)]
    struct Unit;

    #[derive(Serialize)]
    struct Pair(i64, f64);

    #[derive(Serialize)]
    struct All {
        choices: Vec<Choice>,
        unit: Unit,
        pair: Pair,
        tuple: (bool, Option<u64>, ()),
        texts: Vec<String>,
        none: Option<&'static str>,
        map: BTreeMap<&'static str, i8>,
        empty: BTreeMap<String, u8>,
    }

    #[test]
    fn every_kind_of_value_is_written_as_serde_json_writes_it() {
        let each_character = (0u32..0x300).filter_map(char::from_u32).map(String::from);
        let long = |c: char| format!("{}{c}{}", "x".repeat(37), "y".repeat(21));
        let all = All {
            choices: vec![
                Choice::Plain,
                Choice::New(7),
                Choice::Pair(1, '"'),
                Choice::Full {
                    text: "\\ \u{1f} \u{7f} € 🜛",
                },
                Choice::Empty {},
            ],
            unit: Unit,
            pair: Pair(-5, 1e300),
            tuple: (true, Some(u64::MAX), ()),
            texts: each_character
                .chain(['"', '\\', '\n', 'é', '\u{1}'].map(long))
                .chain([String::new()])
                .collect(),
            none: None,
            map: BTreeMap::from([("a", -1), ("b\t", 2)]),
            empty: BTreeMap::new(),
        };
        let ours = String::from_utf8(to_vec(&all).unwrap()).unwrap();
        assert_eq!(ours, serde_json::to_string(&all).unwrap());
    }

    #[test]
    fn a_key_that_is_not_text_is_refused() {
        assert!(to_vec(&BTreeMap::from([(1, 2)])).is_err());
    }

    #[test]
    fn every_answer_is_what_serde_json_would_write() {
        for operation in operations() {
            let answer = operation.answer(operation.example.as_bytes()).unwrap();
            let value: serde_json::Value = serde_json::from_slice(&answer).unwrap();
            let again = serde_json::to_vec(&value).unwrap();
            assert_eq!(answer, again, "{}", operation.name);
        }
    }
}
