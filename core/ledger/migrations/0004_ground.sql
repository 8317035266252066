-- Boreholes and the layers of ground they found.

-- One row is one borehole or sounding.
create table borehole (
    borehole_id VARCHAR NOT NULL,
    easting_m DOUBLE,
    northing_m DOUBLE,
    ground_level_m DOUBLE,
    water_level_m DOUBLE,
    report VARCHAR,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);

-- One row is one layer of ground in one borehole.
create table borehole_layer (
    borehole_id VARCHAR NOT NULL,
    from_mm BIGINT NOT NULL,
    to_mm BIGINT,
    soil VARCHAR,
    unit_weight_kn_m3 DOUBLE,
    undrained_strength_kpa DOUBLE,
    friction_deg DOUBLE,
    entry_no BIGINT NOT NULL,
    row_no BIGINT NOT NULL,
    sheet VARCHAR NOT NULL,
    source_no BIGINT NOT NULL,
    removed BOOLEAN NOT NULL
);
