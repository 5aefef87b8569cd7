//! What the shop looks like now: a fold of the book, in two parts that need nothing of each other.

use std::ops::Deref;
use std::sync::Arc;

use crate::event::Event;
use crate::fleet::Fleet;
use crate::hall::{Hall, NotABeginning};

/// The shop. What is asked of its hall is asked of it: only who needs vehicles waits for them to be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shop {
    /// All but its vehicles.
    pub hall: Arc<Hall>,
    /// Its vehicles.
    pub fleet: Arc<Fleet>,
}

impl Deref for Shop {
    type Target = Hall;

    fn deref(&self) -> &Hall {
        &self.hall
    }
}

impl Shop {
    /// From the first event.
    ///
    /// # Errors
    /// If it does not open a shop.
    pub fn open(first: &Event) -> Result<Self, NotABeginning> {
        Ok(Self { hall: Arc::new(Hall::open(first)?), fleet: Arc::default() })
    }

    /// Adds one event.
    pub fn apply(&mut self, event: &Event) {
        Arc::make_mut(&mut self.hall).apply(event);
        if Fleet::follows(event) {
            Arc::make_mut(&mut self.fleet).apply(event);
        }
    }
}
