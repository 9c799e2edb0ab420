package main

import (
	"errors"
	"fmt"
	"image"
	"strconv"
	"strings"

	"stopledger/analyze"
	"stopledger/curve"
)

const (
	leastReflectance = 0.001   // darker than black velvet
	mostPixels       = 1 << 20 // of one coordinate
)

func (f *measureFlags) checkPatches(s *auditSettings) error {
	for _, r := range f.reflectances {
		if !(r >= leastReflectance && r <= 1) {
			return fmt.Errorf("--reflectance cannot be %g: it takes a share of the light from %g to 1, as in 0.18", r, leastReflectance)
		}
	}
	switch n, m := len(f.regions), len(f.reflectances); {
	case n > 2:
		return fmt.Errorf("--region was given %d times: two patches are the most", n)
	case n == 2 && m != 2:
		return errors.New("two patches need --reflectance twice too, in the same order")
	case n < 2 && m > 1:
		return fmt.Errorf("--reflectance was given %d times for %d regions: give it once for each", m, n)
	case n == 0 && f.grey == "region":
		return errors.New("--grey region needs --region X,Y,W,H")
	}
	s.Reflectance = curve.MidGrey
	if len(f.reflectances) > 0 {
		s.Reflectance = f.reflectances[0]
	}
	for i, text := range f.regions {
		area, err := parseRegion(text)
		if err != nil {
			return err
		}
		reflectance := s.Reflectance
		if i > 0 {
			reflectance = f.reflectances[i]
		}
		s.Patches = append(s.Patches, analyze.Patch{Area: area, Reflectance: reflectance})
	}
	return nil
}

// parseRegion reads X,Y,W,H. Whether it lies inside the frame is not known yet.
func parseRegion(text string) (image.Rectangle, error) {
	parts := strings.Split(text, ",")
	var v [4]int
	ok := len(parts) == 4
	for i := 0; ok && i < 4; i++ {
		n, err := strconv.Atoi(strings.TrimSpace(parts[i]))
		ok = err == nil && n >= 0 && n <= mostPixels
		v[i] = n
	}
	if !ok || v[2] == 0 || v[3] == 0 {
		return image.Rectangle{}, fmt.Errorf("--region cannot be %q: it takes X,Y,W,H, whole pixels from the top left corner, as in 900,500,120,120", text)
	}
	return image.Rect(v[0], v[1], v[0]+v[2], v[1]+v[3]), nil
}
