//! Outside checks of the core; see the tests.
