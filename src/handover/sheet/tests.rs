use super::*;
use glam::DVec2;
use staffage_scene::{
    Arranged, Intended, Shape, StandIn, StandInId, Subject, assess, assess_in, load,
};
use std::collections::BTreeSet;
use std::ops::ControlFlow;

fn demo(name: &str) -> Scene {
    let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo_scenes");
    load(&demos.join(name).with_extension("ron")).unwrap()
}

fn page(scene: &Scene, remarks: &[String]) -> String {
    let assessment = assess(scene);
    let (file, painting) = ("quay.ron", None);
    Sheet { scene, assessment: &assessment, file, painting, remarks }.to_html()
}

/// The words of a page without its markup.
fn words(page: &str) -> String {
    let body = page.split("<body>").nth(1).expect("a body");
    let mut words = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            '\u{a0}' if !inside => words.push(' '),
            c if !inside => words.push(c),
            _ => {}
        }
    }
    words
}

#[test]
fn a_sheet_says_what_contradicts_why_and_what_mends_it() {
    let said = words(&page(&demo("dam_overlook"), &[]));
    for words in [
        "Overlook under the dam",
        "4 things contradict the rest",
        "gallery hand 3",
        "Any one of these mends it",
        "Scale it to",
        "Kept on purpose",
        "a guardian of stone seven metres high",
        "read from the lines",
        "service deck",
        "adult, mixed, in boots, 1.70 m ± 6 %",
        "no survey and no structural check",
        "probability of 95 %",
    ] {
        assert!(said.contains(words), "{words}");
    }
    // The eye is 79.86° across: 36 mm / (2 tan 39.93°) = 21.5 mm.
    assert!(said.contains("36.00 mm21.5 mm"), "{said}");
}

#[test]
fn who_decided_stands_beside_the_reason() {
    let mut scene = demo("dam_overlook");
    assert!(words(&page(&scene, &[])).contains("Nobody is named who decided it."));
    scene.intended[0].by = "Mara".into();
    assert!(words(&page(&scene, &[])).contains("Decided by Mara."));
}

#[test]
fn every_marker_of_a_scene_has_its_row() {
    let scene = demo("market_street");
    let page = page(&scene, &[]);
    let table = page.split("\"ledger-part\"").nth(1).unwrap().split("</table>").next().unwrap();
    assert_eq!(table.matches("<tr").count(), 1 + scene.markers.len());
    for marker in &scene.markers {
        assert!(table.contains(&format!("<bdi>{}</bdi>", marker.name)), "{}", marker.name);
    }
}

/// Names that would break out of where they are put.
const HOSTILE: [&str; 8] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(2)>",
    "' onmouseover='alert(3)",
    "a & b &lt;b&gt; &#60;script&#62;",
    "\u{202e}evil\u{2066}\u{0}\u{1b}[31m\u{7}",
    "</style></title><svg onload=alert(4)>",
    "javascript:alert(5)",
    "]]> --> <!-- שער",
];

/// A scene of which every name is hostile, as an editor may hold it before it is tidied.
fn hostile() -> Scene {
    let mut scene = demo("dam_overlook");
    let mut names = HOSTILE.into_iter().cycle().map(str::to_owned);
    let mut next = || names.next().unwrap();
    scene.title = HOSTILE[5].into();
    scene.markers.iter_mut().for_each(|marker| marker.name = next());
    scene.levels.iter_mut().for_each(|level| level.name = next());
    scene.blocks.iter_mut().for_each(|block| block.name = next());
    let about = Subject::Marker(scene.markers[22].id);
    scene.intended = vec![Intended { about, reason: HOSTILE[1].into(), by: HOSTILE[0].into() }];
    scene
}

/// The tags of a page, by name, and all their attributes.
fn tags(page: &str) -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut tags, mut attributes) = (BTreeSet::new(), BTreeSet::new());
    let after_style = page.split("</style>").collect::<Vec<_>>();
    assert_eq!(after_style.len(), 2, "one style sheet");
    for tag in page.split('<').skip(1) {
        let tag = tag.split('>').next().unwrap();
        tags.insert(tag.split([' ', '/']).find(|w| !w.is_empty()).unwrap_or("").to_lowercase());
        // Outside of quotes only attributes are left.
        for (place, part) in tag.split('"').enumerate() {
            if place % 2 == 0 {
                let names = part.split_whitespace().filter(|w| w.ends_with('='));
                attributes.extend(names.map(|w| w.trim_end_matches('=').to_lowercase()));
            }
        }
    }
    (tags, attributes)
}

#[test]
fn hostile_names_stay_words() {
    let remarks = HOSTILE.map(str::to_owned);
    let page = page(&hostile(), &remarks);
    let (tags, attributes) = tags(&page);
    assert!(!tags.contains("script") && !tags.contains("img"), "{tags:?}");
    assert!(!attributes.iter().any(|name| name.starts_with("on")), "{attributes:?}");
    for allowed in &attributes {
        let known = [
            "lang",
            "charset",
            "name",
            "content",
            "http-equiv",
            "dir",
            "style",
            "class",
            "role",
            "aria-label",
            "viewbox",
            "font-family",
            "stroke-linejoin",
            "data-name",
            "data-about",
            "points",
            "fill",
            "fill-opacity",
            "stroke",
            "stroke-width",
            "stroke-opacity",
            "stroke-dasharray",
            "cx",
            "cy",
            "r",
            "x",
            "y",
            "width",
            "height",
            "rx",
            "font-size",
            "text-anchor",
        ];
        assert!(known.contains(&allowed.as_str()), "{allowed}");
    }
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert!(!page.contains(['\u{202e}', '\u{2066}', '\u{0}', '\u{1b}', '\u{7}']));
}

#[test]
fn nothing_is_fetched_and_nothing_runs() {
    let page = page(&hostile(), &[]);
    assert!(page.contains("Content-Security-Policy\" content=\"default-src 'none';"));
    let style = page.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
    assert!(!style.contains("@import") && !style.contains("http"), "no style from elsewhere");
    for (place, _) in page.match_indices("http") {
        let around = page.get(place..place + 30).unwrap_or_default();
        assert!(around.starts_with("http-equiv"), "{around}");
    }
}

#[test]
fn an_empty_scene_has_a_sheet_too() {
    let said = words(&page(&Scene::default(), &[]));
    assert!(said.starts_with("quay") && said.contains("No markers yet."), "called as its file");
    assert!(said.contains("Nothing in the painting tells the angle of view"), "{said}");
}

#[test]
fn a_sheet_is_known_by_its_beginning() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().join("quay.sheet.html");
    std::fs::write(&at, page(&Scene::default(), &[])).unwrap();
    assert!(is_sheet(&at).unwrap());
    std::fs::write(&at, "<!DOCTYPE html><title>mine</title>").unwrap();
    assert!(!is_sheet(&at).unwrap());
}

#[test]
fn stand_ins_are_told_with_distance_lift_and_turn_in_the_units_asked_for() {
    let mut scene = demo("market_street");
    let shape = Shape::Box { width: 2.5, depth: 7.0, height: 3.0 };
    let (level, along, arranged) = (scene.levels[0].id, None, Arranged::Alone);
    let (foot, name) = (DVec2::new(0.0, 0.2), "Lorry".to_owned());
    let id = StandInId(1);
    scene.stand_ins =
        vec![StandIn { id, name, shape, level, foot, turn: -30.0, along, lift: 1.5, arranged }];
    let said = |units| {
        let assessment = assess_in(&scene, units);
        let sheet = Sheet {
            scene: &scene,
            assessment: &assessment,
            file: "quay.ron",
            painting: None,
            remarks: &[],
        };
        words(&sheet.to_html())
    };
    let metric = said(Units::Metric);
    let line = metric.split("Lorry: ").nth(1).expect("in the list");
    assert!(line.starts_with("box, width 2.50 m, depth 7.00 m, height 3.00 m, "), "{line:.90}");
    assert!(
        line.contains(" m off, on street, lifted 1.50 m, turned 30° to the left"),
        "{line:.120}"
    );
    // 1.70 m are 5′6.9″, 2.50 m are 8′2.4″, 7.00 m are 22′11.6″.
    let imperial = said(Units::Imperial);
    let line = imperial.split("Lorry: ").nth(1).expect("in the list");
    assert!(line.starts_with("box, width 8′2.4″, depth 23′0″, height 9′10.1″, "), "{line:.90}");
    assert!(imperial.contains("adult, mixed, in boots, 5′6.9″ ± 6 %"));
    let metres = in_metres(&imperial);
    assert!(metres.is_empty(), "told in metres all the same: {metres:?}");
}

/// Lengths in metres among these words: a number, then "m".
fn in_metres(words: &str) -> Vec<String> {
    let words: Vec<&str> = words.split_whitespace().collect();
    let pairs = words.windows(2).filter(|pair| {
        let unit = pair[1].trim_end_matches(|c: char| !c.is_alphabetic());
        pair[0].ends_with(|c: char| c.is_ascii_digit()) && ["m", "km", "cm"].contains(&unit)
    });
    pairs.map(|pair| pair.join(" ")).collect()
}

#[test]
fn numbers_stay_with_their_units() {
    assert_eq!(
        unbroken("is 1.70 m ± 6 % (adult): 2.0 times too small"),
        "is 1.70\u{a0}m\u{a0}±\u{a0}6\u{a0}% (adult): 2.0\u{a0}times too small"
    );
    assert_eq!(
        unbroken("its head goes 140 px up. On 3 levels"),
        "its head goes 140\u{a0}px up. On 3 levels"
    );
}

#[test]
fn the_first_page_leaves_room_for_the_painting_and_has_ink_over_it() {
    let scene = demo("dam_overlook");
    let assessment = assess(&scene);
    let sheet = Sheet {
        scene: &scene,
        assessment: &assessment,
        file: "dam.ron",
        painting: None,
        remarks: &[],
    };
    let page = sheet.first_page(594, &mut || ControlFlow::Continue(())).unwrap();
    assert_eq!(page.size, (594, 420), "A4 across, two pixels to the millimetre");
    let (min, max) = page.painting;
    let shape = (max - min) * DVec2::new(594.0, 420.0);
    assert!((shape.x / shape.y - scene.frame.ratio).abs() < 0.01, "{shape}");
    let alpha = |x: f64, y: f64| page.rgba[4 * (y as usize * 594 + x as usize) + 3];
    assert_eq!(alpha(3.0, 3.0), 255, "the margin is paper");
    let inside = || {
        let (from, to) = (min * DVec2::new(594.0, 420.0), max * DVec2::new(594.0, 420.0));
        let rows = (from.y as usize + 2)..(to.y as usize - 2);
        rows.flat_map(move |y| ((from.x as usize + 2)..(to.x as usize - 2)).map(move |x| (x, y)))
    };
    let clear = inside().filter(|&(x, y)| alpha(x as f64, y as f64) == 0).count();
    let all = inside().count();
    assert!(
        clear > all / 2 && clear < all * 19 / 20,
        "{clear} of {all}: seen through, and ink over it"
    );
    let cancelled = sheet.first_page(594, &mut || ControlFlow::Break(()));
    assert!(matches!(cancelled, Err(crate::HandoverError::Cancelled)));
}

#[test]
fn what_a_sheet_holds_is_told_beforehand() {
    let scene = demo("dam_overlook");
    let assessment = assess(&scene);
    let told = |scene: &Scene, assessment| {
        Sheet { scene, assessment, file: "dam.ron", painting: None, remarks: &[] }
            .contents()
            .join("; ")
    };
    let said = told(&scene, &assessment);
    for words in [
        "4 findings, why, and what mends them; 1 kept on purpose",
        "31 markers, near to far",
        "the eye over 5 levels, with focal lengths on 6 film backs",
        "assumed: 6 untested markers taken as drawn",
    ] {
        assert!(said.contains(words), "{words} in {said}");
    }
    let blank = Scene::default();
    let said = told(&blank, &assess(&blank));
    assert!(said.contains("no findings; no markers yet"), "{said}");
    assert!(said.contains("assumed: angle of view, pitch, cant"), "{said}");
}
