-- The last numbered migration. From here on, tables and columns of record kinds are made from their
-- declarations; the raised number keeps earlier programs from writing to a file that they know half of.

-- One row is one time that the tables were brought to the declarations of a program: the digest of
-- these, and the entry that says what was made (none where nothing had to be).
create table declared_schema (
    step BIGINT NOT NULL,
    digest VARCHAR NOT NULL,
    entry_no BIGINT,
    applied_at TIMESTAMP NOT NULL,
    program_version VARCHAR NOT NULL
);
