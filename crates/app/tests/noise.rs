//! Any text at all is read by every parser without a panic.

use app::Parser;
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text_is_read(text in "\\PC{0,60}") {
        for (parser, _) in Parser::ALL {
            app::fuzz(parser, &text);
        }
    }
}
