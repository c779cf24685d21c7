//! What a weight pulls on, as files of weights write it.

use calotte::brief::LoadPlace;

/// What a weight pulls on, as files of weights write it.
pub fn place_words(place: &LoadPlace) -> String {
    match place {
        LoadPlace::Tip => "tip".to_string(),
        LoadPlace::Grip => "grip".to_string(),
        LoadPlace::Bar { name, fraction } => format!("{name}@{fraction}"),
    }
}

/// The place that such words mean.
pub(super) fn place_of(words: &str) -> LoadPlace {
    match (words, words.rsplit_once('@')) {
        ("grip", _) => LoadPlace::Grip,
        (_, Some((name, fraction))) => LoadPlace::Bar {
            name: name.to_string(),
            fraction: fraction.parse().unwrap_or(1.0),
        },
        _ => LoadPlace::Tip,
    }
}
