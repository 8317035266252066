-- The ledger as first built. One table per record kind, and the tables of the entries themselves.
-- No primary keys, foreign keys or indexes: keys are checked set-based before rows are written.

-- One row is one migration that this file went through.
create table schema_version (
    version BIGINT NOT NULL,
    name VARCHAR NOT NULL,
    applied_at TIMESTAMP NOT NULL,
    program_version VARCHAR NOT NULL
);

-- One row is one act: a file taken in, a form saved, settings changed, an entry withdrawn.
create table entry (
    entry_no BIGINT NOT NULL,
    entered_at TIMESTAMP NOT NULL,
    person VARCHAR NOT NULL,
    act VARCHAR NOT NULL,
    source VARCHAR,
    sha256 VARCHAR,
    note VARCHAR NOT NULL,
    withdraws BIGINT,
    mapping VARCHAR,
    program_version VARCHAR NOT NULL,
    previous_hash VARCHAR NOT NULL,
    hash VARCHAR NOT NULL
);

-- One row is what one entry holds of one record kind: how many rows, and their digest.
create table entry_content (
    entry_no BIGINT NOT NULL,
    kind VARCHAR NOT NULL,
    columns VARCHAR NOT NULL,
    digest VARCHAR NOT NULL,
    rows BIGINT NOT NULL
);

-- One row is one voice about one record kind: a file's sheet by its name, or forms (no file name).
create table source (
    source_no BIGINT NOT NULL,
    kind VARCHAR NOT NULL,
    file VARCHAR NOT NULL,
    sheet VARCHAR NOT NULL
);

-- One row is the full text of project.toml as one settings entry recorded it.
create table settings (
    entry_no BIGINT NOT NULL,
    text VARCHAR NOT NULL
);

-- One row is one design position in one revision of the schedule.
create table schedule (
    position_id VARCHAR NOT NULL,
    revision VARCHAR NOT NULL,
    issued_on DATE,
    status VARCHAR,
    row_status VARCHAR,
    structure VARCHAR,
    area VARCHAR,
    cap VARCHAR,
    pile_type VARCHAR,
    duty VARCHAR,
    easting_m DOUBLE,
    northing_m DOUBLE,
    cutoff_level_m DOUBLE,
    ground_level_m DOUBLE,
    finished_grade_level_m DOUBLE,
    scour_level_m DOUBLE,
    batter_deg DOUBLE,
    azimuth_deg DOUBLE,
    design_compression_kn DOUBLE,
    design_tension_kn DOUBLE,
    load_basis VARCHAR,
    load_nature VARCHAR,
    direction VARCHAR,
    required_torque_nm DOUBLE,
    rated_torque_nm DOUBLE,
    min_embedment_mm BIGINT,
    max_length_mm BIGINT,
    estimated_length_mm BIGINT,
    failure_surface_depth_mm BIGINT,
    ground_class VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one pile that serves a position or is known by another number than its position's.
create table pile (
    pile_id VARCHAR NOT NULL,
    position_id VARCHAR,
    replaces VARCHAR,
    duty VARCHAR,
    instructed_easting_m DOUBLE,
    instructed_northing_m DOUBLE,
    instruction VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is what one certificate covers: drive head and gauges as a set.
create table instrument (
    instrument_id VARCHAR NOT NULL,
    instrument_kind VARCHAR,
    make VARCHAR,
    model VARCHAR,
    serial_no VARCHAR,
    rig VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one certificate of one instrument.
create table calibration (
    instrument_id VARCHAR NOT NULL,
    certificate VARCHAR NOT NULL,
    issued_on DATE,
    valid_from_on DATE,
    valid_to_on DATE,
    laboratory VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one point of one certificate's curve.
create table calibration_point (
    instrument_id VARCHAR NOT NULL,
    certificate VARCHAR NOT NULL,
    gear VARCHAR NOT NULL,
    point_no VARCHAR NOT NULL,
    point_pressure_kpa DOUBLE,
    point_torque_nm DOUBLE,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one spell of work on one pile.
create table run (
    pile_id VARCHAR NOT NULL,
    run_no VARCHAR NOT NULL,
    run_on DATE,
    started_at TIMESTAMP,
    ended_at TIMESTAMP,
    why VARCHAR,
    rig VARCHAR,
    instrument_id VARCHAR,
    gear VARCHAR,
    crew VARCHAR,
    operator VARCHAR,
    inspector VARCHAR,
    schedule_revision VARCHAR,
    ground_level_m DOUBLE,
    toe_mm BIGINT,
    stop_reason VARCHAR,
    advance_mm_per_turn DOUBLE,
    first_disc_depth_mm BIGINT,
    predrilled_length_mm BIGINT,
    remarks VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one reading at one depth of one run.
create table torque_reading (
    pile_id VARCHAR NOT NULL,
    run_no VARCHAR NOT NULL,
    depth_mm BIGINT NOT NULL,
    pressure_kpa DOUBLE,
    torque_read_nm DOUBLE,
    instrument_id VARCHAR,
    gear VARCHAR,
    direction VARCHAR,
    advance_mm_per_turn DOUBLE,
    turning_speed_rpm DOUBLE,
    read_at TIMESTAMP,
    event VARCHAR,
    flag VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one stage that one pile has reached.
create table stage_record (
    pile_id VARCHAR NOT NULL,
    stage VARCHAR NOT NULL,
    stage_on DATE,
    evidence VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one person's acceptance of one pile, in one role.
create table sign_off (
    subject VARCHAR NOT NULL,
    role VARCHAR NOT NULL,
    person VARCHAR,
    signed_on DATE,
    digest VARCHAR,
    seen VARCHAR,
    note VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);
