//! The book.
