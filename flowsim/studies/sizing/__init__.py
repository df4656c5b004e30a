"""Line sizes that would do."""
