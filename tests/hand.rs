//! Cloth in hand: hand-made cases with known answers, the arithmetic beside them. Cloth of 100 cm without selvedges, whatever
//! is cut marked with a corner so that it has one way up; each plan is held against the checker by `plan` itself.

mod common;

use common::{half_rectangle, loaded, planned, project_of, quick, rectangle};
use ellwand::layout::{ClothPlan, HandAnswer, LeftOver};
use ellwand::plan::{Failure, Planned};
use ellwand::{check, cut_list, plan};
use proptest::prelude::*;
use serde_json::{Value, json};

/// Rectangles of width and length, cut once each in this order, with priorities where they are not 50.
fn project(cloth: &Value, rectangles: &[(f64, f64, u8)]) -> Value {
    let (mut pieces, mut cuts) = (json!({}), json!({}));
    for (number, &(width, length, priority)) in rectangles.iter().enumerate() {
        let name = format!("p{number}");
        pieces[&name] = rectangle(width, length);
        cuts[&name] = json!({ "piece": name, "cloth": "main", "priority": priority });
    }
    let mut nap = json!({ "nap": true });
    for (key, value) in cloth.as_object().expect("an object") {
        nap[key] = value.clone();
    }
    project_of(&nap, &pieces, &cuts)
}

fn answer(planned: &Planned) -> &HandAnswer {
    &planned.notes.hand[0]
}

/// Which length in hand each part of the plan is, and how much of it is used, in mm.
fn used(planned: &Planned) -> Vec<(usize, f64)> {
    planned.document.cloths.iter().map(|cloth| (cloth.hand_number(), cloth.length)).collect()
}

fn left(cut: &str, plies: usize, of: usize) -> LeftOver {
    LeftOver { cut: cut.to_owned(), plies, of }
}

fn end(cloth: &ClothPlan) -> f64 {
    cloth.in_hand.as_ref().expect("a length in hand").remains.full_width_end
}

#[test]
fn what_fits_needs_nothing_to_be_bought_and_says_what_remains() {
    // 60 + 40 = 100 side by side, 50 long, on 70 cm: an end of 20 x 100 cm is left.
    let plan = planned(&project(&json!({ "have": [{ "length": 70 }] }), &[(60.0, 50.0, 50), (40.0, 50.0, 50)]));
    assert!(answer(&plan).fits && answer(&plan).extra.is_none());
    let cloth = &plan.document.cloths[0];
    assert_eq!((cloth.length, cloth.buy.length, cloth.buy.cost), (500.0, 0.0, None));
    assert_eq!(end(cloth), 200.0);
    let remains = cloth.in_hand.as_ref().unwrap().remains.rectangle.unwrap();
    assert_eq!(remains, [[500.0, 0.0], [700.0, 1000.0]]);
}

#[test]
fn a_hole_is_cut_round() {
    // A hole 10 cm in from the end, right across the middle: a piece as wide as the cloth lies behind it, 10 + 60 cm.
    let hole = json!({ "name": "moth hole", "rectangle": [[0, 45], [10, 55]] });
    let have = json!({ "have": [{ "length": 120, "flaws": [hole] }] });
    let plan = planned(&project(&have, &[(100.0, 60.0, 50)]));
    assert!((plan.document.cloths[0].length - 700.0).abs() < 1e-6, "{}", plan.document.cloths[0].length);
    // Behind the piece 50 cm are whole; before it there is the hole.
    assert_eq!(end(&plan.document.cloths[0]), 500.0);
    // Two pieces of 45 x 60 lie on either side of it.
    let plan = planned(&project(&have, &[(45.0, 60.0, 50), (45.0, 60.0, 50)]));
    assert!((plan.document.cloths[0].length - 600.0).abs() < 1e-6, "{}", plan.document.cloths[0].length);
}

#[test]
fn both_layers_of_a_fold_avoid_a_hole() {
    // The whole of 80 x 50 cm on a lengthwise fold takes y from 10 to 90 cm. A hole on either layer, x up to 10 cm, moves it
    // to 10 + 50 cm; a hole outside those layers does not.
    for (y, length) in [(20.0, 600.0), (75.0, 600.0), (3.0, 500.0), (94.0, 500.0)] {
        let hole = json!({ "rectangle": [[0, y], [10, y + 4.0]] });
        let cloth = json!({ "nap": true, "lay": "lengthwise fold", "have": [{ "length": 80, "flaws": [hole] }] });
        let cuts = json!({ "half": { "piece": "half", "cloth": "main", "on_fold": true } });
        let plan = planned(&project_of(&cloth, &json!({ "half": half_rectangle(40.0, 50.0) }), &cuts));
        let used = plan.document.cloths[0].length;
        assert!((used - length).abs() < 1e-6, "{y}: {used}");
    }
}

#[test]
fn what_matters_least_is_left_over_and_the_least_extra_is_told() {
    // 50 cm in hand; pieces as wide as the cloth, 40 and 20 cm long. The first goes on, 20 cm more would do.
    let have = json!({ "have": [{ "length": 50 }] });
    let plan = planned(&project(&have, &[(100.0, 40.0, 50), (100.0, 20.0, 50)]));
    let hand = answer(&plan);
    assert!(!hand.fits);
    assert_eq!(hand.left_over, [left("p1", 1, 1)]);
    let extra = hand.extra.unwrap();
    assert!((extra.length - 200.0).abs() < 1e-6 && extra.buy == 200.0, "{extra:?}");
    assert_eq!(used(&plan), [(1, 400.0), (0, 200.0)]);
    // Where the shorter one matters more the longer one is left over, 20 cm being too much for both; but to buy, 20 cm for the
    // shorter one is still less than 40 for the longer.
    let plan = planned(&project(&have, &[(100.0, 40.0, 50), (100.0, 20.0, 60)]));
    let hand = answer(&plan);
    assert_eq!(hand.left_over, [left("p0", 1, 1)]);
    assert_eq!(hand.extra.unwrap().buy, 200.0);
}

#[test]
fn the_extra_reckons_with_shrinking_ends_and_the_shops_steps() {
    // 20 cm and 5 for the ends, shrinking by 10 %: 25 / 0.9 = 27.8 cm; sold by 10: 30. In hand: 70 x 0.9 - 5 = 58.
    let cloth = json!({ "have": [{ "length": 70 }], "shrinkage": { "length": 10 }, "ends": 5, "sold_by": 10 });
    let plan = planned(&project(&cloth, &[(100.0, 40.0, 50), (100.0, 20.0, 50)]));
    let extra = answer(&plan).extra.unwrap();
    assert!((extra.length - 250.0 / 0.9).abs() < 1e-6 && (extra.buy - 300.0).abs() < 1e-6, "{extra:?}");
    assert_eq!(plan.document.cloths[0].in_hand.as_ref().unwrap().length, 580.0);
    // Washed already it is 70 - 5 = 65: both go on.
    let cloth = json!({ "have": [{ "length": 70, "washed": true }], "shrinkage": { "length": 10 }, "ends": 5 });
    assert!(answer(&planned(&project(&cloth, &[(100.0, 40.0, 50), (100.0, 20.0, 50)]))).fits);
}

#[test]
fn the_fewest_and_smallest_lengths_are_used() {
    let have = json!({ "have": [{ "length": 100 }, { "length": 30 }, { "length": 60 }] });
    // 55 + 25 = 80 cm: on the 100 alone, though 30 and 60 would do as well.
    let plan = planned(&project(&have, &[(100.0, 55.0, 50), (100.0, 25.0, 50)]));
    assert_eq!((used(&plan), &answer(&plan).kept[..]), (vec![(1, 800.0)], &[2, 3][..]));
    // 55 cm: on the 60 alone.
    let plan = planned(&project(&have, &[(100.0, 55.0, 50)]));
    assert_eq!((used(&plan), &answer(&plan).kept[..]), (vec![(3, 550.0)], &[1, 2][..]));
    // 55 + 50 cm: no single one; 30 + 60 gives no room for 50, nor does 30 + 100; 60 and 100 do.
    let plan = planned(&project(&have, &[(100.0, 55.0, 50), (100.0, 50.0, 50)]));
    assert_eq!((used(&plan), &answer(&plan).kept[..]), (vec![(1, 500.0), (3, 550.0)], &[2][..]));
    // 55 + 60 + 25 + 30: all three, the 30 full, and so the rest: 60 holds one of 55 or 60.
    let plan = planned(&project(&have, &[(100.0, 55.0, 50), (100.0, 60.0, 50), (100.0, 25.0, 50), (100.0, 30.0, 50)]));
    assert!(answer(&plan).fits);
    let total: f64 = used(&plan).iter().map(|(_, length)| length).sum();
    assert!((total - 1700.0).abs() < 1e-6, "{:?}", used(&plan));
    // Numbers run on over the lengths, one ply per cut here.
    assert!(plan.document.cloths.iter().flat_map(|cloth| &cloth.plies).all(|ply| ply.number == 1));
}

#[test]
fn a_length_of_its_own_width_takes_what_fits_it() {
    // Two pieces 70 cm wide: the narrow remnant (60) takes neither, the wide one both; a third of 50 goes onto the narrow one,
    // since the wide one is full.
    let have = json!({ "have": [{ "length": 60, "width": 60 }, { "length": 100, "width": 80 }] });
    let plan = planned(&project(&have, &[(70.0, 50.0, 50), (70.0, 50.0, 50), (50.0, 60.0, 50)]));
    assert_eq!(used(&plan), [(1, 600.0), (2, 1000.0)]);
}

#[test]
fn a_mirrored_pair_may_be_cut_from_two_lengths() {
    // 60 cm wide: not two side by side; 45 cm each on two lengths of 50. Numbers run on over the lengths.
    let slanted =
        json!({ "outline": [[0, 0], [60, 0], [60, 45], [5, 45]], "grain": { "from": [10, 1], "to": [10, 2] } });
    let cuts = json!({ "a": { "piece": "a", "cloth": "main", "count": 2, "mirrored": true } });
    let cloth = json!({ "nap": true, "have": [{ "length": 50 }, { "length": 50 }] });
    let plan = planned(&project_of(&cloth, &json!({ "a": slanted }), &cuts));
    assert!(answer(&plan).fits);
    let plies: Vec<(bool, usize)> =
        plan.document.cloths.iter().flat_map(|cloth| &cloth.plies).map(|ply| (ply.mirrored, ply.number)).collect();
    assert_eq!(plies, [(false, 1), (true, 2)]);
}

#[test]
fn what_goes_neither_on_the_remnant_nor_on_bought_cloth_is_refused_with_both_sizes() {
    let have = json!({ "have": [{ "length": 50, "width": 110 }] });
    let Err(Failure::Problems(problems)) = quick(&project(&have, &[(120.0, 40.0, 50)])) else { panic!("it fits") };
    assert!(problems[0].cause.contains("1.20 m") && problems[0].cause.contains("1.00 m"), "{}", problems[0].cause);
    // Two of 105: the wider remnant takes one, and no more of that width can be bought.
    let Err(Failure::Problems(problems)) = quick(&project(&have, &[(105.0, 40.0, 50), (105.0, 40.0, 50)])) else {
        panic!("it fits")
    };
    assert!(problems[0].cause.contains("\"p1\" would be left over"), "{}", problems[0].cause);
}

type Spoil = fn(&mut ClothPlan);

#[test]
fn the_checker_notices_every_way_of_spoiling_a_length_in_hand() {
    let hole = json!({ "name": "ink", "rectangle": [[0, 0], [10, 10]] });
    let document = project(
        &json!({ "have": [{ "length": 50 }, { "length": 90, "flaws": [hole] }] }),
        &[(100.0, 40.0, 50), (80.0, 60.0, 50)],
    );
    let project = loaded(&document);
    let list = cut_list::resolve(&project).unwrap();
    let good = planned(&document).document;
    assert_eq!(used(&planned(&document)).len(), 2);
    let faults = |spoil: Spoil| -> Vec<String> {
        let mut plan = good.clone();
        spoil(&mut plan.cloths[1]);
        let found = check::faults_against(&plan, &plan::rules(&project, &list), &project.pieces);
        found.iter().map(ToString::to_string).collect()
    };
    assert_eq!(faults(|_| {}), Vec::<String>::new());
    let spoils: [(Spoil, &str); 10] = [
        (|c| c.in_hand.as_mut().unwrap().length = 500.0, "are used of a length in hand"),
        (|c| c.in_hand.as_mut().unwrap().length = 950.0, "in hand is 950 mm, not 900 mm"),
        (|c| c.in_hand.as_mut().unwrap().flaws.clear(), "flaws of length 2 in hand are not"),
        (|c| c.in_hand.as_mut().unwrap().flaws[0].outline.truncate(2), "no proper outline"),
        (|c| c.in_hand.as_mut().unwrap().number = 1, "stands 2 times"),
        (|c| c.in_hand.as_mut().unwrap().number = 7, "no length 7 in hand"),
        (|c| c.in_hand.as_mut().unwrap().remains.full_width_end += 1.0, "the end that is said"),
        (|c| c.in_hand.as_mut().unwrap().remains.rectangle = Some([[0.0, 0.0], [900.0, 900.0]]), "the rectangle that"),
        (|c| c.buy.length = 100.0, "something is to be bought"),
        (|c| c.in_hand = None, "is to be bought where"),
    ];
    for (spoil, words) in spoils {
        let found = faults(spoil);
        assert!(found.iter().any(|fault| fault.contains(words)), "{words}: {found:?}");
    }
    // Onto the hole.
    let onto = faults(|c| {
        let least = c.plies[0].outline.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min);
        c.plies[0].outline.iter_mut().for_each(|p| p[1] -= least);
    });
    assert!(onto.iter().any(|fault| fault.contains("lies on the flaw \"ink\"")), "{onto:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Random pieces, lengths and flaws on every lay: every plan passes the checker, nothing is lost, and what is said of it
    /// agrees with itself.
    #[test]
    fn whatever_is_in_hand_the_plan_holds(
        pieces in prop::collection::vec((8.0..60.0_f64, 10.0..50.0_f64, 0.0..8.0_f64, 0..4_usize, 0..101_u8), 1..6),
        lengths in prop::collection::vec(
            (20.0..130.0_f64, 60.0..110.0_f64, any::<bool>(),
             prop::collection::vec((0.0..100.0_f64, 0.0..90.0_f64, 0.5..12.0_f64, 0.5..12.0_f64, any::<bool>()), 0..3)),
            1..4,
        ),
        nap in any::<bool>(),
        gap in 0..2_u8,
        lay in 0..5_usize,
    ) {
        let (mut files, mut cuts) = (json!({}), json!({}));
        for (number, &(width, length, slant, kind, priority)) in pieces.iter().enumerate() {
            let name = format!("p{number}");
            let mut piece = half_rectangle(width, length);
            piece["outline"] = json!([[0, 0], [width, 0], [width - slant.min(width - 2.0), length], [0, length]]);
            let mut cut = json!({ "piece": name, "cloth": "main", "priority": priority });
            match kind {
                0 => {}
                1 => { cut["count"] = json!(2); cut["mirrored"] = json!(true); }
                2 => { cut["on_fold"] = json!(true); }
                _ => { cut["count"] = json!(3); }
            }
            if kind != 2 { piece.as_object_mut().unwrap().remove("fold"); }
            files[&name] = piece;
            cuts[&name] = cut;
        }
        let have: Vec<Value> = lengths.iter().map(|(length, width, washed, flaws)| {
            let flaws: Vec<Value> = flaws.iter().map(|&(x, y, l, w, round)| {
                let (x, y) = (x.min(length - 0.2), y.min(width - 1.2));
                if round {
                    json!({ "outline": [[x, y + w / 2.0], [x + l / 2.0, y], [x + l, y + w / 2.0], [x + l / 2.0, y + w]] })
                } else {
                    json!({ "rectangle": [[x, y], [x + l, y + w]] })
                }
            }).collect();
            json!({ "length": length, "width": width, "washed": washed, "flaws": flaws })
        }).collect();
        let lay = ["best", "open", "lengthwise fold", "partial fold", "best"][lay];
        let cloth = json!({
            "width": 130, "nap": nap, "gap": gap, "lay": if lay == "best" { json!("best") } else { json!([lay, "open"]) },
            "have": have, "shrinkage": { "length": 3, "width": 2 }, "ends": 1, "selvedge": 0.5,
        });
        let document = project_of(&cloth, &files, &cuts);
        let plan = match quick(&document) {
            Ok(plan) => plan,
            Err(failure) => panic!("{failure:?}\n{document}"),
        };
        let hand = answer(&plan);
        let bought: Vec<&ClothPlan> = plan.document.cloths.iter().filter(|cloth| cloth.in_hand.is_none()).collect();
        prop_assert_eq!(hand.fits, bought.is_empty());
        prop_assert_eq!(hand.fits, hand.left_over.is_empty());
        prop_assert_eq!(hand.extra.map(|extra| extra.buy), bought.first().map(|cloth| cloth.buy.length));
        for left in &hand.left_over {
            prop_assert!(left.plies <= left.of);
        }
    }
}
