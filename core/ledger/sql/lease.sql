-- What every lease says to the file itself.

-- name: still_sound
-- Nothing; it fails when the transaction was aborted, whose commit would raise nothing.
select 1;

-- name: quiet
-- Nothing; the engine no longer prints how far a long question has come.
set enable_progress_bar = false;

-- name: checkpoint
-- Brings everything from the write-ahead log into the file.
checkpoint;

-- name: schema_version
-- One row: the last migration that this file went through.
select coalesce(max(schema_version.version), 0) as version from schema_version;

-- name: record_migration
insert into schema_version by name
select $version as version, $name as name, $applied_at as applied_at,
       $program_version as program_version;
