-- What a record must say so that a pile rests on it: the reading at the toe in the run's header,
-- whether a pressure is differential or of one line, and over which length the grout column goes.

-- Reading at the toe as the header of a run gives it.
alter table run add column final_torque_read_nm DOUBLE;
alter table run add column final_pressure_kpa DOUBLE;
alter table run add column final_pressure_kind VARCHAR;
alter table run add column final_return_pressure_kpa DOUBLE;

-- Kind of each pressure, and the return pressure assumed where it is that of one line.
alter table torque_reading add column pressure_kind VARCHAR;
alter table torque_reading add column return_pressure_kpa DOUBLE;
alter table calibration_point add column point_pressure_kind VARCHAR;
alter table calibration_point add column point_return_pressure_kpa DOUBLE;

-- Length of the grout column up from the toe, and what the depths of a lift measure.
alter table schedule add column grouted_length_mm BIGINT;
alter table grout_placement add column depths_of VARCHAR;
