-- Deliveries, lots by the days of their use, files of certificates and quarantine; what certificates
-- tell of their heats beyond strength, and the zinc. No keys or indexes, as in the first migration.

-- One row is one delivery note.
create table delivery (
    delivery_id VARCHAR NOT NULL,
    delivered_on DATE,
    supplier VARCHAR,
    order_no VARCHAR,
    accepted_by VARCHAR,
    condition VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is the days between which the components of one lot are used.
create table lot (
    lot VARCHAR NOT NULL,
    used_from_on DATE,
    used_to_on DATE,
    remarks VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one file that shows one mill certificate.
create table certificate_file (
    certificate VARCHAR NOT NULL,
    file_digest VARCHAR NOT NULL,
    file_name VARCHAR,
    form VARCHAR,
    bytes BIGINT,
    pages BIGINT,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is whether one heat is in quarantine.
create table quarantine (
    mill VARCHAR NOT NULL,
    heat VARCHAR NOT NULL,
    quarantine_status VARCHAR,
    reason VARCHAR,
    person VARCHAR,
    decided_on DATE,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- The zinc of a component.
alter table component add column zinc_lot VARCHAR;
alter table component add column zinc_um DOUBLE;

-- The share of a lot of several heats.
alter table piece add column of_this_heat BIGINT;

-- What a certificate tells of a heat: elongation, ladle analysis, country of melt.
alter table heat_on_certificate add column elongation_percent DOUBLE;
alter table heat_on_certificate add column carbon_percent DOUBLE;
alter table heat_on_certificate add column manganese_percent DOUBLE;
alter table heat_on_certificate add column silicon_percent DOUBLE;
alter table heat_on_certificate add column phosphorus_percent DOUBLE;
alter table heat_on_certificate add column sulphur_percent DOUBLE;
alter table heat_on_certificate add column copper_percent DOUBLE;
alter table heat_on_certificate add column nickel_percent DOUBLE;
alter table heat_on_certificate add column chromium_percent DOUBLE;
alter table heat_on_certificate add column molybdenum_percent DOUBLE;
alter table heat_on_certificate add column vanadium_percent DOUBLE;
alter table heat_on_certificate add column niobium_percent DOUBLE;
alter table heat_on_certificate add column carbon_equivalent_percent DOUBLE;
alter table heat_on_certificate add column melted_in VARCHAR;
