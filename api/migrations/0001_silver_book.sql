-- The silver book. Columns are text and whole numbers only, so that both databases keep them alike;
-- quantities stand in JSON, as the decimals they were given as.

CREATE TABLE studios (
    id TEXT PRIMARY KEY,
    position BIGINT NOT NULL UNIQUE,
    body TEXT NOT NULL,
    version BIGINT NOT NULL,
    created_at TEXT NOT NULL,
    last_sequence BIGINT NOT NULL,
    last_document BIGINT NOT NULL,
    last_deed BIGINT NOT NULL,
    last_recorded_at TEXT NOT NULL
);

-- What numbers studios.
CREATE TABLE counters (
    name TEXT PRIMARY KEY,
    value BIGINT NOT NULL
);
INSERT INTO counters (name, value) VALUES ('studios', 0);

CREATE TABLE entries (
    studio TEXT NOT NULL REFERENCES studios (id),
    sequence BIGINT NOT NULL,
    id TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (studio, sequence),
    UNIQUE (studio, id)
);

-- Which containers and shipments an entry is about.
CREATE TABLE entry_subjects (
    studio TEXT NOT NULL,
    subject TEXT NOT NULL,
    sequence BIGINT NOT NULL,
    PRIMARY KEY (studio, subject, sequence),
    FOREIGN KEY (studio, sequence) REFERENCES entries (studio, sequence)
);

-- What the entries about a subject come to. Made from the entries, and checked against them by
-- `spent-silver verify`.
CREATE TABLE states (
    studio TEXT NOT NULL REFERENCES studios (id),
    subject TEXT NOT NULL,
    state TEXT NOT NULL,
    PRIMARY KEY (studio, subject)
);

CREATE TABLE documents (
    studio TEXT NOT NULL REFERENCES studios (id),
    number BIGINT NOT NULL,
    issued_at TEXT NOT NULL,
    as_of_sequence BIGINT NOT NULL,
    sha256 TEXT NOT NULL,
    program_version TEXT NOT NULL,
    rule_set TEXT NOT NULL,
    rule_set_edition TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (studio, number)
);

-- What was answered to a request that may come again. A studio that does not exist yet has no name.
CREATE TABLE replies (
    studio TEXT NOT NULL,
    idempotency_key TEXT NOT NULL,
    fingerprint TEXT NOT NULL,
    location TEXT NOT NULL,
    body TEXT NOT NULL,
    created_at TEXT NOT NULL,
    PRIMARY KEY (studio, idempotency_key)
);

CREATE TABLE tokens (
    id TEXT PRIMARY KEY,
    studio TEXT NOT NULL REFERENCES studios (id),
    role TEXT NOT NULL,
    label TEXT NOT NULL,
    secret_sha256 TEXT NOT NULL,
    created_at TEXT NOT NULL,
    revoked_at TEXT
);

-- Who did what, from where.
CREATE TABLE deeds (
    studio TEXT NOT NULL REFERENCES studios (id),
    number BIGINT NOT NULL,
    done_at TEXT NOT NULL,
    actor TEXT NOT NULL,
    address TEXT NOT NULL,
    action TEXT NOT NULL,
    target TEXT NOT NULL,
    PRIMARY KEY (studio, number)
);
