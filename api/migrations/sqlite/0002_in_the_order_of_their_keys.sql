-- Short rows that are found by their key alone stand in its order: one tree to write instead of two.

CREATE TABLE entry_subjects_by_key (
    studio TEXT NOT NULL,
    subject TEXT NOT NULL,
    sequence BIGINT NOT NULL,
    PRIMARY KEY (studio, subject, sequence),
    FOREIGN KEY (studio, sequence) REFERENCES entries (studio, sequence)
) WITHOUT ROWID;
INSERT INTO entry_subjects_by_key (studio, subject, sequence) SELECT studio, subject, sequence FROM entry_subjects;
DROP TABLE entry_subjects;
ALTER TABLE entry_subjects_by_key RENAME TO entry_subjects;

CREATE TABLE deeds_by_key (
    studio TEXT NOT NULL REFERENCES studios (id),
    number BIGINT NOT NULL,
    done_at TEXT NOT NULL,
    actor TEXT NOT NULL,
    address TEXT NOT NULL,
    action TEXT NOT NULL,
    target TEXT NOT NULL,
    PRIMARY KEY (studio, number)
) WITHOUT ROWID;
INSERT INTO deeds_by_key (studio, number, done_at, actor, address, action, target) SELECT studio, number, done_at, actor, address, action, target FROM deeds;
DROP TABLE deeds;
ALTER TABLE deeds_by_key RENAME TO deeds;
