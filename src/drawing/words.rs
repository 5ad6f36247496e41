/// Longest name that is written out, characters.
const LONGEST_NAME: usize = 40;

/// Width of a text in a plain sans-serif face, points: an estimate from the usual proportions of
/// letters, good to about a tenth.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    size * text.chars().map(proportion).sum::<f64>()
}

/// Width of a character over the height of the type.
fn proportion(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' | '·' => 0.29,
        'f' | 't' | 'r' | '(' | ')' | '-' | '/' | '"' => 0.37,
        'm' | 'w' | 'M' | 'W' | '…' | '%' | '@' => 0.86,
        'A'..='Z' => 0.68,
        '\u{300}'..='\u{36f}' => 0.0,
        // Scripts whose letters fill a square.
        '\u{1100}'..='\u{11ff}' | '\u{2e80}'..='\u{d7ff}' | '\u{f900}'..='\u{faff}' => 1.0,
        '\u{1f000}'.. => 1.2,
        _ => 0.56,
    }
}

/// The text on one line, without what would break it or turn it round.
pub(crate) fn one_line(text: &str) -> String {
    let mut line = String::with_capacity(text.len());
    for c in text.chars().filter(|&c| !turns_text(c)) {
        let c = if c.is_whitespace() || c.is_control() { ' ' } else { c };
        if c != ' ' || !(line.is_empty() || line.ends_with(' ')) {
            line.push(c);
        }
    }
    line.truncate(line.trim_end().len());
    line
}

/// A name on one line, cut if it is very long.
pub(crate) fn name(text: &str) -> String {
    // Far more than is kept, far less than a hostile file may hold.
    let line = one_line(&text.chars().take(10 * LONGEST_NAME).collect::<String>());
    match line.char_indices().nth(LONGEST_NAME) {
        None => line,
        Some((end, _)) => format!("{}…", line[..end].trim_end()),
    }
}

/// Whether a character is an invisible mark that changes the direction of the text around it.
pub(crate) fn turns_text(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_has_no_breaks_and_no_marks_that_turn_it_round() {
        assert_eq!(one_line("  two\n\tlines\0 "), "two lines");
        assert_eq!(one_line("evil\u{202e}gnp.exe"), "evilgnp.exe");
        assert_eq!(one_line("naïve 🏗 塔"), "naïve 🏗 塔");
    }

    #[test]
    fn a_long_name_is_cut_with_an_ellipsis() {
        let name = name(&"ab ".repeat(100_000));
        assert_eq!(name.chars().count(), LONGEST_NAME + 1);
        assert!(name.ends_with("a…"), "{name}");
    }

    #[test]
    fn wide_letters_take_more_room_than_narrow_ones() {
        assert!(width("mmm", 10.0) > 2.0 * width("iii", 10.0));
        assert_eq!(width("", 10.0), 0.0);
    }
}
