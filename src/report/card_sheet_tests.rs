use super::*;
use crate::report::interval_svg::Interval;
use crate::report::paper::corner_mm;

fn card(n: usize) -> PrintCard {
    PrintCard {
        mark: format!("{n:08x}"),
        front: vec![
            Block::Cautions(vec!["Caution: mains".to_owned()]),
            Block::Heading("Board X, rev A; not yet signed".to_owned()),
            Block::Readings(vec![["3V3".to_owned(), "0.4 V; 3.3 V".to_owned()]]),
            Block::Strong("Which circuit? Name the fix".to_owned()),
        ],
        back: vec![
            Block::Strong(format!("Answer: replace U{n}")),
            Block::Interval(Interval {
                k: 7,
                n: 9,
                low: 0.4526,
                high: 0.9368,
            }),
            Block::Pairs(vec![(vec!["rail".to_owned()], vec!["low: A".to_owned()])]),
            Block::Small("Jobs: W-1".to_owned()),
        ],
    }
}

fn layout(size: Size, edge: Edge) -> Layout {
    Layout {
        paper: Paper::A4,
        size,
        edge,
        title: "Shop: cards of shop".to_owned(),
        printed: "Printed 20 November 2026.".to_owned(),
    }
}

fn fitted(n: usize, size: Size) -> Vec<Fitted> {
    let fits = |n| Fitted::new(card(n), size).expect("little text");
    (1..=n).map(fits).collect()
}

/// Returns what lies where on each page: (number, side, left, top) read from the text of the file.
fn lying(html: &str) -> Vec<Vec<(usize, String, String)>> {
    let after = |text: &str, mark: &str, end: char| -> String {
        let rest = text.split_once(mark).expect("the mark is there").1;
        rest.split(end).next().unwrap_or_default().to_owned()
    };
    html.split("<section")
        .skip(1)
        .map(|page| {
            page.split("<article")
                .skip(1)
                .map(|face| {
                    let number = after(face, "<b>Card ", '<').parse().expect("a number");
                    let side = after(face, "</b> ", ' ');
                    (number, side, after(face, "style=\"", '"'))
                })
                .collect()
        })
        .collect()
}

#[test]
fn each_back_is_on_the_page_after_its_front_and_behind_it_on_incomplete_sheets_too() {
    for size in [Size::Wall, Size::Pocket] {
        for edge in [Edge::Long, Edge::Short] {
            for n in [1, 2, 3, 5, 6, 7, 11, 12] {
                let layout = layout(size, edge);
                let pages = lying(&html(&layout, &fitted(n, size)));
                assert_eq!(pages.len(), 2 * size.sheets(n), "{size:?} {n}");
                let mut seen = Vec::new();
                for pair in pages.chunks(2) {
                    assert_eq!(pair[0].len(), pair[1].len());
                    for (slot, (front, back)) in pair[0].iter().zip(&pair[1]).enumerate() {
                        let at = |side| {
                            let place = paper::place(size, side, edge, slot);
                            let (x, y) = corner_mm(layout.paper, size, place);
                            format!("left:{x:.2}mm;top:{y:.2}mm")
                        };
                        seen.push(front.0);
                        assert_eq!(front.1, "front");
                        assert_eq!(*back, (front.0, "back".to_owned(), at(Side::Back)));
                        assert_eq!(front.2, at(Side::Front));
                    }
                }
                assert_eq!(seen, (1..=n).collect::<Vec<_>>(), "{size:?} {edge:?}");
            }
        }
    }
}

#[test]
fn hostile_text_is_text_wherever_it_stands() {
    let bad = || "<script>x()</script>\"'\u{1b}[2J\u{0}</style><img src=http://x>".to_owned();
    let card = PrintCard {
        mark: bad(),
        front: vec![
            Block::Cautions(vec![bad()]),
            Block::Heading(bad()),
            Block::Strong(bad()),
            Block::Readings(vec![[bad(), bad()]]),
        ],
        back: vec![
            Block::Line(bad()),
            Block::Small(bad()),
            Block::Pairs(vec![(vec![bad()], vec![bad()])]),
        ],
    };
    let layout = Layout {
        title: bad(),
        printed: bad(),
        ..layout(Size::Wall, Edge::Long)
    };
    let fits = Fitted::new(card, Size::Wall).expect("a wall card has room");
    let page = html(&layout, &[fits]);
    assert!(page.contains("&lt;script&gt;x()&lt;/script&gt;&quot;&#39;\u{fffd}[2J\u{fffd}"));
    for act in ["<script", "<img", "\u{1b}", "\u{0}"] {
        assert!(!page.contains(act), "{act:?}");
    }
    assert_eq!(page.matches("</style>").count(), 1);
    // Nothing in the file asks for anything outside it.
    let plain = html(
        &self::layout(Size::Pocket, Edge::Long),
        &fitted(3, Size::Pocket),
    );
    for ask in [
        "http:", "https:", "url(", "@import", "<script", "<link", "src=", "href=",
    ] {
        assert!(!plain.contains(ask), "{ask}");
    }
}

#[test]
fn a_side_with_too_much_text_is_named() {
    let long = vec![Block::Line("reading ".repeat(400))];
    let front = PrintCard {
        front: long.clone(),
        ..card(1)
    };
    let back = PrintCard {
        back: long,
        ..card(1)
    };
    let fit = |card: &PrintCard| Fitted::new(card.clone(), Size::Pocket).map(|f| f.step());
    assert_eq!(fit(&front), Err(TooLong(Side::Front)));
    assert_eq!(fit(&back), Err(TooLong(Side::Back)));
    assert_eq!(fit(&card(1)), Ok(0));
}

#[test]
fn every_side_of_every_sheet_defers_to_makers_codes_and_licensed_people() {
    for size in [Size::Wall, Size::Pocket] {
        let page = html(&layout(size, Edge::Long), &fitted(9, size));
        let sides = page.matches("<section").count();
        assert_eq!(page.matches(DEFERS).count(), sides);
    }
    for words in ["aker's instructions", "local codes", "licensed people"] {
        assert!(DEFERS.contains(words), "{words}");
    }
}

#[test]
fn a_small_sheet() {
    let page = html(&layout(Size::Pocket, Edge::Long), &fitted(3, Size::Pocket));
    insta::assert_snapshot!(page);
}
