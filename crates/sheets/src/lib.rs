//! A checked plan, drawn and put into words: placed drawing items, SVG from them, sentences.
