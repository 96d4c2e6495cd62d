//! How things look: weight and position first, colour as an extra.
//!
//! Text always stands in the terminal's own foreground, so that it is readable on black and on
//! white; colour touches signs and scales only, and nothing depends on it (`NO_COLOR`).
//! The blue is index 74 of the 256-colour cube, near the sky blue of Okabe and Ito, "Color Universal
//! Design" (2008; from memory).

use ratatui::style::Color;
use ratatui::style::Modifier;
use ratatui::style::Style;

/// Ordinary text.
pub fn plain() -> Style {
    Style::new()
}

/// What the eye should find first.
pub fn strong() -> Style {
    Style::new().add_modifier(Modifier::BOLD)
}

/// A caution: found first, read whole.
pub fn caution() -> Style {
    Style::new().add_modifier(Modifier::BOLD)
}

/// What could hurt someone, and what was not kept.
pub fn grave() -> Style {
    Style::new().add_modifier(Modifier::BOLD.union(Modifier::REVERSED))
}

/// The choice that Enter takes.
pub fn chosen() -> Style {
    Style::new().add_modifier(Modifier::BOLD.union(Modifier::REVERSED))
}

/// A reading that decides.
pub fn deciding() -> Style {
    Style::new().add_modifier(Modifier::BOLD.union(Modifier::UNDERLINED))
}

/// The sign beside a deciding reading.
pub fn sign() -> Style {
    Style::new()
        .fg(Color::Indexed(74))
        .add_modifier(Modifier::BOLD)
}

/// The scale of an interval.
pub fn scale() -> Style {
    Style::new().fg(Color::Indexed(74))
}

/// Rules and the words that only help.
pub fn quiet() -> Style {
    Style::new().add_modifier(Modifier::DIM)
}
