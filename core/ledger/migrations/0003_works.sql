-- Grout, steel and the as-built survey: one table per record kind, and what length reconciliation
-- needs of a run. No keys or indexes, as in the first migration.

-- One row is one batch of grout, used by one pile or several.
create table grout_batch (
    batch_id VARCHAR NOT NULL,
    mixed_on DATE,
    mixed_at TIMESTAMP,
    mix VARCHAR,
    plant VARCHAR,
    cement_lot VARCHAR,
    water_cement_ratio DOUBLE,
    volume_l DOUBLE,
    density_kg_m3 DOUBLE,
    flow_s DOUBLE,
    tested_by VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is what one batch gave to one lift of one run.
create table grout_placement (
    pile_id VARCHAR NOT NULL,
    run_no VARCHAR NOT NULL,
    lift_no VARCHAR NOT NULL,
    batch_id VARCHAR NOT NULL,
    from_mm BIGINT,
    to_mm BIGINT,
    batched_l DOUBLE,
    left_l DOUBLE,
    spilled_l DOUBLE,
    returned_l DOUBLE,
    how_measured VARCHAR,
    resolution_l DOUBLE,
    placed_on DATE,
    started_at TIMESTAMP,
    ended_at TIMESTAMP,
    pressure_kpa DOUBLE,
    level_drop_mm BIGINT,
    topped_up_l DOUBLE,
    remarks VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one specimen of one sample group, tested or still to be tested.
create table grout_specimen (
    specimen_id VARCHAR NOT NULL,
    sample_group_id VARCHAR,
    batch_id VARCHAR,
    taken_on DATE,
    age_days DOUBLE,
    tested_on DATE,
    strength_mpa DOUBLE,
    laboratory VARCHAR,
    report VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one pile that one sample group stands for.
create table sample_group_member (
    sample_group_id VARCHAR NOT NULL,
    pile_id VARCHAR NOT NULL,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one delivered component by its own stamp, or a number of them by the stamp of their lot.
create table component (
    stamp VARCHAR NOT NULL,
    delivery_id VARCHAR NOT NULL,
    component_kind VARCHAR,
    part_mark VARCHAR,
    lot VARCHAR,
    quantity BIGINT,
    left_over BIGINT,
    scrapped BIGINT,
    length_mm BIGINT,
    section VARCHAR,
    helix_set VARCHAR,
    rated_torque_nm DOUBLE,
    rated_torque_document VARCHAR,
    delivered_on DATE,
    supplier VARCHAR,
    cut_from VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one piece of steel in a component, with the heat that it was made of.
create table piece (
    stamp VARCHAR NOT NULL,
    delivery_id VARCHAR NOT NULL,
    piece VARCHAR NOT NULL,
    mill VARCHAR,
    heat VARCHAR,
    certificate VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one place in the string of one run, counted from the toe up.
create table component_placed (
    pile_id VARCHAR NOT NULL,
    run_no VARCHAR NOT NULL,
    place BIGINT NOT NULL,
    stamp VARCHAR,
    delivery_id VARCHAR,
    used_length_mm BIGINT,
    bolts VARCHAR,
    remarks VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one mill certificate.
create table certificate (
    certificate VARCHAR NOT NULL,
    certificate_type VARCHAR,
    issuer VARCHAR,
    issued_on DATE,
    standard VARCHAR,
    grade VARCHAR,
    scan VARCHAR,
    checked_by VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one heat that one mill certificate covers.
create table heat_on_certificate (
    certificate VARCHAR NOT NULL,
    mill VARCHAR NOT NULL,
    heat VARCHAR NOT NULL,
    page VARCHAR,
    yield_mpa DOUBLE,
    tensile_mpa DOUBLE,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one as-built survey of one pile at one stage.
create table survey (
    pile_id VARCHAR NOT NULL,
    survey_stage VARCHAR NOT NULL,
    surveyed_on DATE,
    easting_m DOUBLE,
    northing_m DOUBLE,
    level_m DOUBLE,
    head_level_m DOUBLE,
    batter_deg DOUBLE,
    azimuth_deg DOUBLE,
    tilt_east_deg DOUBLE,
    tilt_north_deg DOUBLE,
    resolution_mm DOUBLE,
    surveyor VARCHAR,
    reviewed_by VARCHAR,
    reviewed_on DATE,
    remarks VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- Lengths of the string above the ground and cut off it.
alter table run add column stick_up_mm BIGINT;
alter table run add column cut_off_mm BIGINT;
