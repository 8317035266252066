-- Questions about torque readings and the certificates behind them.

-- name: readings_of_runs
-- One row is one standing torque reading of a standing run, with the instrument and gear that hold
-- for it; a pile's runs come in the order of the work, a run's readings by depth.
select reading.pile_id, reading.run_no, reading.depth_mm, reading.pressure_kpa,
       reading.pressure_kind, reading.return_pressure_kpa, reading.torque_read_nm,
       coalesce(reading.instrument_id, run.instrument_id, '') as instrument_id,
       coalesce(reading.gear, run.gear, '') as gear,
       reading.direction, reading.advance_mm_per_turn, reading.read_at, reading.event, reading.flag,
       run.run_order, run.rig, run.run_on, run.started_at,
       run.ended_at, run.toe_mm, run.predrilled_length_mm, reading.entry_no, reading.row_no,
       reading.sheet
from torque_reading($as_of) as reading
join ordered_run($as_of) as run
  on run.pile_id = reading.pile_id and run.run_no = reading.run_no
order by run.run_order, reading.depth_mm;

-- name: readings_without_run
-- One row is one run that does not stand although readings of it do, with how many they are and
-- the first of them.
select reading.pile_id, reading.run_no,
       count(*) over (partition by reading.pile_id, reading.run_no) as readings,
       reading.entry_no, reading.row_no, reading.sheet
from torque_reading($as_of) as reading
where not exists (
    select 1 from run($as_of) as run
    where run.pile_id = reading.pile_id and run.run_no = reading.run_no
)
qualify row_number() over (
    partition by reading.pile_id, reading.run_no
    order by reading.entry_no, reading.sheet, reading.row_no
) = 1
order by reading.pile_id, reading.run_no;

-- name: certificates
-- One row is one standing calibration certificate with what its instrument is.
select calibration.instrument_id, calibration.certificate, calibration.issued_on,
       calibration.valid_from_on, calibration.valid_to_on, calibration.laboratory,
       instrument.instrument_kind, instrument.rig, calibration.entry_no, calibration.row_no
from calibration($as_of) as calibration
left join instrument($as_of) as instrument
  on instrument.instrument_id = calibration.instrument_id
order by calibration.instrument_id, calibration.valid_from_on, calibration.certificate;

-- name: calibration_points
-- One row is one standing point of one certificate's curve, along its pressure.
select
  point.{column}, -- for each calibration_point column
  point.entry_no, point.sheet, point.row_no
from calibration_point($as_of) as point
order by point.instrument_id, point.certificate, point.gear,
         point.point_pressure_kpa nulls first, counting_order(point.point_no), point.point_no;
