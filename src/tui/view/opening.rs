//! What stands on the screen while the shop is being read; the one way on is out.

use ratatui::Frame;
use ratatui::text::Line;

use crate::tui::sheet::Sheet;

/// Draws that the shop is being opened and, where `come` is given, the bytes read of how many.
pub fn draw(come: Option<(u64, u64)>, frame: &mut Frame<'_>) {
    let mut body = vec![Line::raw(""), Line::raw("Opening the shop ...")];
    body.extend(come.and_then(progress).map(Line::raw));
    let sheet = Sheet {
        title: "Benchlore".to_owned(),
        body,
        low: vec![Line::raw("Ctrl-C leaves.")],
        ..Sheet::default()
    };
    sheet.paint(frame, None, &[]);
}

/// Returns how far reading has come, in megabytes; nothing for what is read in a blink.
fn progress((read, all): (u64, u64)) -> Option<String> {
    let all = all / MEGABYTE;
    (0 < all).then(|| format!("Reading reviews: {} of {all} MB", read / MEGABYTE))
}

const MEGABYTE: u64 = 1_000_000;

#[cfg(test)]
mod tests {
    use super::*;
    use ratatui::Terminal;
    use ratatui::backend::TestBackend;

    fn shown(come: Option<(u64, u64)>, columns: u16, rows: u16) -> String {
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        terminal.draw(|frame| draw(come, frame)).unwrap();
        terminal.backend().to_string()
    }

    #[test]
    fn the_first_frame_says_that_the_shop_is_being_opened() {
        for (columns, rows) in [(80, 24), (60, 20)] {
            let text = shown(None, columns, rows);
            assert!(text.contains("Opening the shop ..."), "{text}");
            assert!(!text.contains("Reading"), "{text}");
        }
        assert!(shown(None, 60, 20).contains("Ctrl-C leaves."));
    }

    #[test]
    fn long_reading_tells_how_far_it_has_come() {
        let text = shown(Some((60_400_000, 99_900_000)), 60, 20);
        assert!(text.contains("Reading reviews: 60 of 99 MB"), "{text}");
        assert!(!shown(Some((0, 900_000)), 60, 20).contains("Reading"));
    }
}
