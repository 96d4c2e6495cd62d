//! A card whose back is too long for one piece of paper goes on on the next: the same front, marked as a
//! part, and the rest of the back behind it.
//!
//! Type does not become smaller for that, and no front shows anything of a back.

use crate::report::card_face::Block;
use crate::report::card_sheet::Fitted;
use crate::report::card_sheet::PrintCard;
use crate::report::card_sheet::TooLong;
use crate::report::fit;
use crate::report::paper::Side;
use crate::report::paper::Size;

/// A card that would take more pieces of paper is not printed.
pub const MOST: usize = 3;

/// Returns the pieces of paper that a card takes, in order; mostly one.
pub fn fitted(card: &PrintCard, size: Size) -> Result<Vec<Fitted>, TooLong> {
    match Fitted::new(card.clone(), size) {
        Ok(one) => return Ok(vec![one]),
        Err(TooLong(Side::Front)) => return Err(TooLong(Side::Front)),
        Err(TooLong(Side::Back)) => {}
    }
    let (head, rest) = card.back.split_at(head_of(&card.back));
    let backs = divided(head, rest, size).ok_or(TooLong(Side::Back))?;
    let n = backs.len();
    let part = |(at, back): (usize, Vec<Block>)| {
        let front = front_of(&card.front, (at + 1, n), size);
        let mark = card.mark.clone();
        Fitted::new(PrintCard { mark, front, back }, size)
    };
    backs.into_iter().enumerate().map(part).collect()
}

/// Returns how many pieces at the beginning stand on every part: the hazards and the board.
fn head_of(blocks: &[Block]) -> usize {
    let head = |block: &&Block| matches!(block, Block::Cautions(_) | Block::Heading(_));
    blocks.iter().take_while(head).count()
}

/// Returns the front of a part: the card's, marked; without its question where that leaves no room.
fn front_of(front: &[Block], (part, of): (usize, usize), size: Size) -> Vec<Block> {
    let (head, rest) = front.split_at(head_of(front));
    let mut text = format!("Part {part} of {of} of this card.");
    if part > 1 {
        text.push_str(" Its question is that of the card before.");
    }
    let mark = Block::Small(text);
    let whole: Vec<Block> = head.iter().cloned().chain([mark.clone()]).collect();
    let asked: Vec<Block> = whole.iter().chain(rest).cloned().collect();
    if fit::step(&asked, size).is_some() {
        return asked;
    }
    if part > 1 { whole } else { front.to_vec() }
}

/// Divides a back among as few parts as it takes; none where a piece fits nowhere.
fn divided(head: &[Block], rest: &[Block], size: Size) -> Option<Vec<Vec<Block>>> {
    let goes_on = Block::Small("Goes on on the back of the next card.".to_owned());
    let mut left: Vec<Block> = rest.iter().rev().cloned().collect();
    let mut parts: Vec<Vec<Block>> = Vec::new();
    while !left.is_empty() {
        if parts.len() == MOST {
            return None;
        }
        let whole = head.iter().cloned().chain(left.iter().rev().cloned());
        let whole: Vec<Block> = whole.collect();
        if fit::step(&whole, size).is_some() {
            parts.push(whole);
            break;
        }
        let mut part = head.to_vec();
        while let Some(block) = left.pop() {
            part.push(block);
            part.push(goes_on.clone());
            let fits = fit::step(&part, size).is_some();
            part.pop();
            if fits {
                continue;
            }
            let block = part.pop().expect("it was put there just now");
            let alone = head.iter().chain([&block, &goes_on]).cloned();
            let alone: Vec<Block> = alone.collect();
            let fits_with = |first: &Block| {
                let with = part.iter().chain([first, &goes_on]).cloned();
                fit::step(&with.collect::<Vec<Block>>(), size).is_some()
            };
            // What alone is too long is divided itself.
            let too_long = fit::step(&alone, size).is_none();
            let divided = too_long.then(|| beginning(&block, &fits_with)).flatten();
            if let Some((first, second)) = divided {
                part.push(first);
                left.push(second);
            } else {
                left.push(block);
            }
            break;
        }
        if part.len() == head.len() {
            return None;
        }
        part.push(goes_on.clone());
        parts.push(part);
    }
    Some(parts)
}

/// Divides a piece of several lines or sentences: as much of its beginning as fits, and the rest; none
/// where not even its first line does, or it has no more than one.
fn beginning(block: &Block, fits: &dyn Fn(&Block) -> bool) -> Option<(Block, Block)> {
    match block {
        Block::Readings(rows) => most(rows, &|rows| Block::Readings(rows.to_vec()), fits),
        Block::Pairs(pairs) => most(pairs, &|pairs| Block::Pairs(pairs.to_vec()), fits),
        Block::Small(text) => {
            let joined = |pieces: &[&str]| Block::Small(pieces.concat().trim_end().to_owned());
            let sentences: Vec<&str> = text.split_inclusive("; ").collect();
            let words: Vec<&str> = text.split_inclusive(' ').collect();
            most(&sentences, &joined, fits).or_else(|| most(&words, &joined, fits))
        }
        _ => None,
    }
}

/// Returns the longest beginning of `list` that fits, and the rest, which is never empty.
fn most<T>(
    list: &[T],
    made: &dyn Fn(&[T]) -> Block,
    fits: &dyn Fn(&Block) -> bool,
) -> Option<(Block, Block)> {
    // More never stands lower, so the last that fits is found by halving.
    let (mut n, mut too_many) = (0, list.len());
    while n + 1 < too_many {
        let middle = usize::midpoint(n, too_many);
        if fits(&made(&list[..middle])) {
            n = middle;
        } else {
            too_many = middle;
        }
    }
    (0 < n).then(|| (made(&list[..n]), made(&list[n..])))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(lines: usize) -> PrintCard {
        let line = |n: usize| Block::Line(format!("line {n} of the evidence, in some words"));
        let mut back = vec![
            Block::Cautions(vec!["Caution: mains".to_owned()]),
            Block::Heading("Board, rev B".to_owned()),
            Block::Strong("Answer: replace U31".to_owned()),
        ];
        back.extend((0..lines).map(line));
        PrintCard {
            mark: "abc".to_owned(),
            front: vec![
                Block::Heading("Board, rev B".to_owned()),
                Block::Strong("Which circuit?".to_owned()),
            ],
            back,
        }
    }

    #[test]
    fn a_back_that_fits_takes_one_card_and_a_long_one_goes_on() {
        for size in [Size::Pocket, Size::Wall] {
            assert_eq!(fitted(&card(2), size).unwrap().len(), 1);
            let parts = fitted(&card(45), size).unwrap();
            assert!((2..=MOST).contains(&parts.len()), "{}", parts.len());
        }
    }

    #[test]
    fn every_line_stands_on_one_part_and_every_part_has_the_hazards_first() {
        let card = card(45);
        let (head, rest) = card.back.split_at(2);
        let parts = divided(head, rest, Size::Pocket).unwrap();
        let mut seen: Vec<Block> = Vec::new();
        for (at, part) in parts.iter().enumerate() {
            assert_eq!(part[..2], *head);
            assert!(fit::step(part, Size::Pocket).is_some());
            let last = at + 1 == parts.len();
            let own = if last {
                &part[2..]
            } else {
                &part[2..part.len() - 1]
            };
            seen.extend(own.iter().cloned());
        }
        assert_eq!(seen, rest);
    }

    #[test]
    fn no_front_of_a_part_shows_anything_of_the_back() {
        let card = card(45);
        for part in 1..=2 {
            let front = front_of(&card.front, (part, 2), Size::Pocket);
            assert_eq!(front[0], card.front[0]);
            assert!(!format!("{front:?}").contains("U31"));
            assert!(format!("{front:?}").contains(&format!("Part {part} of 2")));
        }
    }

    #[test]
    fn what_would_take_too_many_cards_or_is_one_endless_line_is_not_printed() {
        assert_eq!(fitted(&card(400), Size::Pocket), Err(TooLong(Side::Back)));
        let mut endless = card(0);
        endless.back.push(Block::Line("word ".repeat(2000)));
        assert_eq!(fitted(&endless, Size::Pocket), Err(TooLong(Side::Back)));
    }

    #[test]
    fn a_table_that_is_too_long_alone_is_divided_by_its_rows() {
        let mut long = card(0);
        let row = |n: usize| (vec![format!("measure {n}")], vec![format!("result {n}")]);
        long.back.push(Block::Pairs((0..40).map(row).collect()));
        let parts = fitted(&long, Size::Pocket).unwrap();
        assert!(parts.len() > 1);
    }
}
