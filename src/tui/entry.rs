//! One line of text being typed.
//!
//! Editing by grapheme is `tui-input`'s; this file limits what may be typed and compares two lines
//! by what a person sees of them.

use tui_input::Input;
use tui_input::InputRequest;

use crate::domain::text;

/// What an editing key does to the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Removes the character before the cursor.
    Backspace,
    /// Removes the character under the cursor.
    Delete,
    /// Removes the word before the cursor.
    EraseWord,
    /// Removes everything.
    EraseLine,
    /// Moves one character to the left.
    Left,
    /// Moves one character to the right.
    Right,
    /// Moves to the start.
    Start,
    /// Moves to the end.
    End,
}

/// A line of text with its cursor and the most characters it may hold.
#[derive(Clone, Debug)]
pub struct Entry {
    input: Input,
    limit: usize,
}

impl PartialEq for Entry {
    fn eq(&self, other: &Self) -> bool {
        self.text() == other.text()
            && self.input.cursor() == other.input.cursor()
            && self.limit == other.limit
    }
}

impl Entry {
    /// Returns an empty line for at most `limit` characters.
    pub fn new(limit: usize) -> Self {
        Self {
            input: Input::default(),
            limit,
        }
    }

    /// Returns what was typed.
    pub fn text(&self) -> &str {
        self.input.value()
    }

    /// Tells whether nothing but blanks was typed.
    pub fn is_blank(&self) -> bool {
        self.text().trim().is_empty()
    }

    /// Adds one character, unless the line is full or the character would not show.
    pub fn insert(&mut self, c: char) {
        let mut bytes = [0; 4];
        let one: &str = c.encode_utf8(&mut bytes);
        if self.text().chars().count() < self.limit && text::clean(one) == one {
            self.input.handle(InputRequest::InsertChar(c));
        }
    }

    /// Adds text where the cursor is, unless the line is full; what would not show is left out.
    pub fn put(&mut self, text: &str) {
        for c in text.chars() {
            if c == '\n' {
                self.break_line();
            } else {
                self.insert(c);
            }
        }
    }

    /// Adds a line break, for a text of several lines.
    pub fn break_line(&mut self) {
        if self.text().chars().count() < self.limit {
            self.input.handle(InputRequest::InsertChar('\n'));
        }
    }

    /// Returns the text before the cursor.
    pub fn before_cursor(&self) -> &str {
        let text = self.text();
        let at = text.char_indices().nth(self.input.cursor());
        &text[..at.map_or(text.len(), |(at, _)| at)]
    }

    /// Applies an editing key.
    pub fn edit(&mut self, edit: Edit) {
        self.input.handle(match edit {
            Edit::Backspace => InputRequest::DeletePrevChar,
            Edit::Delete => InputRequest::DeleteNextChar,
            Edit::EraseWord => InputRequest::DeletePrevWord,
            Edit::EraseLine => InputRequest::DeleteLine,
            Edit::Left => InputRequest::GoToPrevChar,
            Edit::Right => InputRequest::GoToNextChar,
            Edit::Start => InputRequest::GoToStart,
            Edit::End => InputRequest::GoToEnd,
        });
    }

    /// Empties the line.
    pub fn clear(&mut self) {
        self.input.reset();
    }

    /// Returns the part of the line that `width` columns can show, and the cursor's column in it.
    pub fn window(&self, width: usize) -> (String, usize) {
        let skip = self.input.visual_scroll(width.saturating_sub(1));
        let mut column = 0;
        let mut shown = String::new();
        let mut used = 0;
        for c in self.text().chars() {
            let wide = unicode_width::UnicodeWidthChar::width(c).unwrap_or(0);
            if skip <= column && used + wide <= width {
                shown.push(c);
                used += wide;
            }
            column += wide;
        }
        let cursor = self.input.visual_cursor().saturating_sub(skip);
        (shown, cursor.min(width.saturating_sub(1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str) -> Entry {
        let mut entry = Entry::new(40);
        text.chars().for_each(|c| entry.insert(c));
        entry
    }

    #[test]
    fn what_would_not_show_cannot_be_typed() {
        assert_eq!(typed("u31\u{1b}\u{202e} Ω").text(), "u31 Ω");
    }

    #[test]
    fn a_full_line_takes_no_more() {
        let mut entry = Entry::new(2);
        "mkx".chars().for_each(|c| entry.insert(c));
        assert_eq!(entry.text(), "mk");
    }

    #[test]
    fn a_long_line_shows_its_end_and_the_cursor() {
        let (shown, cursor) = typed("replace the standby switcher").window(10);
        assert_eq!((shown.as_str(), cursor), (" switcher", 9));
        let (shown, cursor) = typed("u31").window(10);
        assert_eq!((shown.as_str(), cursor), ("u31", 3));
    }

    #[test]
    fn editing_keys_edit() {
        let mut entry = typed("swap u13");
        entry.edit(Edit::EraseWord);
        assert_eq!(entry.text(), "swap ");
        entry.edit(Edit::Start);
        entry.edit(Edit::Delete);
        assert_eq!(entry.text(), "wap ");
        entry.edit(Edit::EraseLine);
        assert!(entry.is_blank());
    }
}
