//! What a lot is worth after every charge: price, terms, acceptance, settlement, sensitivity.
