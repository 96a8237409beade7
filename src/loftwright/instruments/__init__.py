"""What sensors, supplies and actuators show and do, and the faults they can have."""
