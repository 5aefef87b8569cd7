//! From bytes to a tree that remembers where everything was written.

mod de;
mod from_json;
mod from_toml;
pub(crate) mod problem;
pub(crate) mod quantity;
pub(crate) mod shape;
pub(crate) mod source;
mod tape;
pub(crate) mod tree;

pub(crate) use de::{At, OrNone, Text};
pub(crate) use problem::{EXAMPLE_VALUES, Problems};
pub(crate) use source::{Given, Source};
pub(crate) use tree::{Node, Value};

use schemars::JsonSchema;
use serde::de::DeserializeOwned;

/// Reads the text as JSON if it looks like it, else as TOML; syntax errors go to `problems`.
pub(crate) fn tree(source: &Source, problems: &mut Problems) -> Option<Node> {
    if source.is_json() { from_json::read(source, problems) } else { from_toml::read(source, problems) }
}

/// Reads a wire type: first every fault of shape, then the type itself.
///
/// `None` only if the shape is so wrong that nothing can be said about the values.
/// `whole` is what a person calls the whole of it, such as "this file".
pub(crate) fn wire<T: DeserializeOwned + JsonSchema>(
    root: &Node,
    whole: &str,
    problems: &mut Problems,
) -> Option<T> {
    let pruned = shape::check::<T>(root, whole, problems);
    match T::deserialize(de::Reader(&pruned)) {
        Ok(value) => Some(value),
        Err(fault) => {
            if !problems.has_errors() {
                problems.error(root.span.clone(), fault.to_string(), "see `standfast schema`");
            }
            None
        }
    }
}
