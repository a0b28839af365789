//! What a calculation from the book takes from the studio's record, or from the operator's feed, where
//! its request is silent: the metal's price, the terms, the habits. Each is listed as assumed.

use crate::server::State;
use crate::store::StoredStudio;
use spent_silver_domain::answer::Assumption;
use spent_silver_domain::quantity::MetalPrice;
use spent_silver_domain::report::Dealings;
use spent_silver_domain::valuation::price_words;

/// What a studio deals by.
pub(crate) struct Dealt {
    /// The metal's price: of the record, or else of the feed. None where neither has one.
    pub price: Option<MetalPrice>,
    /// Where that price is from, in words.
    price_is: String,
    dealings: Dealings,
}

impl Dealt {
    /// What the record of a studio and the operator's feed say.
    pub(crate) async fn of(state: &State, studio: &StoredStudio) -> Self {
        let dealings = studio.record.dealings.clone().unwrap_or_default();
        if let Some(price) = dealings.price.clone() {
            return Self {
                price_is: price_is(&price, "the studio's record"),
                price: Some(price),
                dealings,
            };
        }
        // Where the feed has none, a calculation that needs a price says that it is missing.
        let quoted = match state.price.as_ref() {
            Some(feed) => feed.price().await.ok(),
            None => None,
        };
        let price_is = quoted.as_ref().map_or_else(String::new, |quoted| {
            let late = if quoted.stale {
                " It should have been renewed since."
            } else {
                ""
            };
            format!(
                "{} The feed gave it at {}.{late}",
                price_is(&quoted.price, "the operator's price feed"),
                quoted.as_of_at
            )
        });
        Self {
            price: quoted.map(|quoted| quoted.price),
            price_is,
            dealings,
        }
    }

    /// What the record says of dealings, but for the price; where nothing is `valued`, without what rests
    /// on one.
    pub(crate) fn dealings(&self, valued: bool) -> Dealings {
        let mut of = self.dealings.clone();
        of.price = None;
        if !valued {
            of.terms = None;
            of.haulage_terms = None;
            of.price_range = None;
            of.silver_use = None;
        }
        of
    }

    /// What an answer says of a member of its request that was filled in from here; none where nothing
    /// about money was.
    pub(crate) fn assumed(&self, member: &str) -> Option<Assumption> {
        let name = |name: Option<&spent_silver_domain::quantity::Text>| {
            name.map_or_else(String::new, |name| format!(", of {name}"))
        };
        let terms = |what: &str, name: String| {
            format!("{what} are those of the studio's record{name}; it keeps no day of them.")
        };
        let text = match member {
            "price" | "metal_price" => self.price_is.clone(),
            "terms" => {
                let of = self.dealings.terms.as_ref().and_then(|t| t.name.as_ref());
                terms("The refiner's terms", name(of))
            }
            "haulage_terms" => {
                let of = self.dealings.haulage_terms.as_ref();
                terms(
                    "The haulier's terms",
                    name(of.and_then(|t| t.name.as_ref())),
                )
            }
            "reagent_prices" => terms("The prices of reagents", String::new()),
            "price_range" => {
                "How far the price of silver may move is by the studio's record.".to_owned()
            }
            "silver_use" => "What silver is used for is by the studio's record.".to_owned(),
            _ => return None,
        };
        Some(Assumption {
            about: String::new(),
            field: format!("/{member}"),
            text: text.into(),
            source: "house_rule",
        })
    }
}

fn price_is(price: &MetalPrice, whose: &str) -> String {
    let words = price_words(price.amount.decimal(), price.currency, price.per);
    let day = price.as_of_on.map_or_else(
        || "a day that is not said".to_owned(),
        |day| day.to_string(),
    );
    let source = price
        .source
        .as_ref()
        .map_or_else(String::new, |source| format!(" (from: {source})"));
    format!("The price of silver is that of {whose}: {words}, of {day}{source}.")
}
