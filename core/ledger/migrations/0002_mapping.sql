-- Layouts of files, as people said once how a sender's sheets are read.

-- One row is one layout of one sender's sheets.
create table mapping (
    sender VARCHAR NOT NULL,
    mapping_name VARCHAR NOT NULL,
    reading VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);
