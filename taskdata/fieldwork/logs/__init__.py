"""What a log says at each record: times, values, the track."""
