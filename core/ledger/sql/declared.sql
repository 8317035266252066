-- Tables of the file held against the record kinds that the program declares.

-- name: declared_digest
-- One row: the digest of the declarations to which the tables were last brought; none before.
select declared_schema.digest from declared_schema order by declared_schema.step desc limit 1;

-- name: file_columns
-- One row is one column of one table of the file, as it is there.
select columns.table_name, columns.column_name, columns.data_type, columns.is_nullable
from duckdb_columns() as columns
where columns.database_name = current_database() and not columns.internal
order by columns.table_name, columns.column_index;

-- name: make_table
-- One row is one record of the kind, as one entry wrote it.
create table {kind} (
    {column} {type} not null, -- for each key
    {column} {type}, -- for each value
    entry_no bigint not null,
    row_no bigint not null,
    sheet varchar not null,
    source_no bigint not null,
    removed boolean not null
);

-- name: make_column
alter table {kind} add column {column} {type};

-- name: record_declared
insert into declared_schema by name
select coalesce(max(declared_schema.step), 0) + 1 as step, $digest as digest,
       $entry_no::bigint as entry_no, $applied_at::timestamp as applied_at,
       $program_version as program_version
from declared_schema;

-- name: empty_table
-- No row: the kind's table is not in the file yet.
create temp table {kind} (
    {column} {type}, -- for each key
    {column} {type}, -- for each value
    entry_no bigint,
    row_no bigint,
    sheet varchar,
    source_no bigint,
    removed boolean
);

-- name: wider_table
-- One row is one row of the kind's table with the columns that the file has not got yet, empty.
create temp view {kind} as
select
  null::{type} as {column}, -- for each missing column
  written.*
from {database}.main.{kind} as written;

-- name: database
-- One row: the name under which the engine holds the file.
select current_database();
