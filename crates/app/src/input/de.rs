//! Reading wire types out of the tree, spans kept.

use std::borrow::Cow;
use std::marker::PhantomData;
use std::ops::Range;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{Error, MapDeserializer, SeqDeserializer, StrDeserializer, UsizeDeserializer};
use serde::de::{self, Deserialize, Deserializer, IntoDeserializer, SeqAccess, Visitor};

use super::quantity::{self, Quantity};
use super::tree::{Entry, Node, Value};

/// Asks [`Reader`] for the span; no other deserializer is used for wire types with spans.
const MARK: &str = "$standfast::at";
/// Asks [`Reader`] whether the word [`NONE`] stands there.
const OR_NONE: &str = "$standfast::or-none";
/// Says that somebody looked and there is none.
const NONE: &str = "none";

/// A value and its bytes in the source.
#[derive(Clone, Debug)]
pub(crate) struct At<T> {
    pub(crate) span: Range<usize>,
    pub(crate) value: T,
}

/// The text of a quantity, not yet parsed, so that all faults are found in one pass.
#[derive(Clone, Debug)]
pub(crate) struct Text<Q> {
    pub(crate) span: Range<usize>,
    pub(crate) text: String,
    quantity: PhantomData<Q>,
}

impl<Q> Text<Q> {
    pub(crate) fn new(span: Range<usize>, text: impl Into<String>) -> Self {
        Self { span, text: text.into(), quantity: PhantomData }
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for At<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Spanned<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Spanned<T> {
            type Value = At<T>;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a value with its place")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<At<T>, A::Error> {
                let short = || de::Error::custom("a value without its place");
                let start = seq.next_element()?.ok_or_else(short)?;
                let end = seq.next_element()?.ok_or_else(short)?;
                let value = seq.next_element()?.ok_or_else(short)?;
                Ok(At { span: start..end, value })
            }
        }
        deserializer.deserialize_newtype_struct(MARK, Spanned(PhantomData))
    }
}

impl<'de, Q> Deserialize<'de> for Text<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        At::<String>::deserialize(deserializer).map(|at| Self::new(at.span, at.value))
    }
}

/// What somebody looked for: it, or the word "none".
#[derive(Clone, Debug)]
pub(crate) enum OrNone<T> {
    None,
    Is(T),
}

impl<T> OrNone<Vec<T>> {
    /// What is listed; of what nobody looked for nothing.
    pub(crate) fn listed(said: Option<&Self>) -> &[T] {
        match said {
            Some(Self::Is(list)) => list,
            Some(Self::None) | None => &[],
        }
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for OrNone<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Either<T> {
            type Value = OrNone<T>;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a value or the word none")
            }
            fn visit_none<E>(self) -> Result<OrNone<T>, E> {
                Ok(OrNone::None)
            }
            fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<OrNone<T>, D::Error> {
                T::deserialize(deserializer).map(OrNone::Is)
            }
        }
        deserializer.deserialize_newtype_struct(OR_NONE, Either(PhantomData))
    }
}

impl<T: JsonSchema> JsonSchema for OrNone<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("{}OrNone", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [{ "type": "string", "const": NONE }, generator.subschema_for::<T>()] })
    }
}

impl<T: JsonSchema> JsonSchema for At<T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }
    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
}

impl<Q: Quantity> JsonSchema for Text<Q> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        Q::KIND.name.into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "format": quantity::format_of(Q::KIND), "examples": Q::KIND.examples })
    }
}

/// A node as a deserializer.
#[derive(Clone, Copy)]
pub(crate) struct Reader<'a>(pub(crate) &'a Node);

impl<'de> IntoDeserializer<'de, Error> for Reader<'_> {
    type Deserializer = Self;
    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for Reader<'_> {
    type Error = Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match &self.0.value {
            Value::Null => visitor.visit_unit(),
            Value::Bool(flag) => visitor.visit_bool(*flag),
            Value::Number(n) => visitor.visit_f64(*n),
            Value::Text(text) => visitor.visit_str(text),
            Value::List(items) => visitor.visit_seq(SeqDeserializer::new(items.iter().map(Reader))),
            Value::Table(entries) => visitor
                .visit_map(MapDeserializer::new(entries.iter().map(|e| (e.key.as_str(), Reader(&e.node))))),
        }
    }

    fn deserialize_u8<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        match self.0.value {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "in range and whole, as tested"
            )]
            Value::Number(n) if n.fract() == 0.0 && (0.0..=255.0).contains(&n) => visitor.visit_u8(n as u8),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Error> {
        if matches!(self.0.value, Value::Null) { visitor.visit_none() } else { visitor.visit_some(self) }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Error> {
        match name {
            MARK => visitor.visit_seq(Marked { node: self.0, next: 0 }),
            OR_NONE if self.0.text() == Some(NONE) => visitor.visit_none(),
            OR_NONE => visitor.visit_some(self),
            _ => visitor.visit_newtype_struct(self),
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Error> {
        match &self.0.value {
            Value::Text(word) => visitor.visit_enum(StrDeserializer::new(word)),
            Value::Table(entries) if entries.len() == 1 => visitor.visit_enum(
                de::value::MapAccessDeserializer::new(MapDeserializer::new(entries.iter().map(pair))),
            ),
            _ => Err(de::Error::custom("expected a word")),
        }
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf unit
        unit_struct seq tuple tuple_struct map struct identifier ignored_any
    }
}

fn pair(entry: &Entry) -> (&str, Reader<'_>) {
    (entry.key.as_str(), Reader(&entry.node))
}

struct Marked<'a> {
    node: &'a Node,
    next: u8,
}

impl<'de> SeqAccess<'de> for Marked<'_> {
    type Error = Error;
    fn next_element_seed<T: de::DeserializeSeed<'de>>(&mut self, seed: T) -> Result<Option<T::Value>, Error> {
        self.next += 1;
        match self.next {
            1 => seed.deserialize(UsizeDeserializer::new(self.node.span.start)).map(Some),
            2 => seed.deserialize(UsizeDeserializer::new(self.node.span.end)).map(Some),
            3 => seed.deserialize(Reader(self.node)).map(Some),
            _ => Ok(None),
        }
    }
}
