package ledger

// A Clip is one that the report of a folder has, with what tells it from others.
type Clip struct {
	Path        string      // as opened
	Fingerprint Fingerprint // of its files when they were measured
	Made        string      // when it was measured, RFC 3339 in UTC
	Facts       Facts       // what is asked of many
}

// Clips returns the measured clips of the report that a folder holds, without their measurements.
func (l *Ledger) Clips() (clips []Clip, err error) {
	defer func() { err = told(l.dir, err) }()
	rows, err := l.db.Query(`SELECT e.path, o.bytes, o.modified_ns, o.digest, o.made, recorded_on, camera, curve, iso,
		method, placement, low, high, floor, clipped FROM entry e JOIN outcome o ON o.id = e.outcome
		WHERE action IS NOT NULL ORDER BY place`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var c Clip
		var digest []byte
		p, f := &c.Fingerprint, &c.Facts
		if err := rows.Scan(&c.Path, &p.Bytes, &p.Modified, &digest, &c.Made, orZero(&f.RecordedOn), orZero(&f.Camera),
			orZero(&f.Curve), orZero(&f.ISO), orZero(&f.Method), orUnknown(&f.Placement), orUnknown(&f.Low),
			orUnknown(&f.High), orUnknown(&f.Floor), orUnknown(&f.Clipped)); err != nil {
			return nil, err
		}
		copy(p.Digest[:], digest)
		clips = append(clips, c)
	}
	return clips, rows.Err()
}
