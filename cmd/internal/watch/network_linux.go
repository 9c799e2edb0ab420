package watch

import "golang.org/x/sys/unix"

// networks are file systems by their magic numbers (linux/magic.h and the file systems' own headers)
// on which others make changes that inotify(7) does not tell of. FUSE is among them: what lies behind
// it is not known.
var networks = map[uint32]string{
	unix.NFS_SUPER_MAGIC: "NFS", unix.SMB_SUPER_MAGIC: "SMB", 0xfe534d42: "SMB", 0xff534d42: "CIFS",
	unix.FUSE_SUPER_MAGIC: "FUSE", unix.V9FS_MAGIC: "9P", 0x00c36400: "Ceph", unix.AFS_FS_MAGIC: "AFS",
	unix.AFS_SUPER_MAGIC: "AFS", unix.CODA_SUPER_MAGIC: "Coda", 0x0bd00bd0: "Lustre", 0x47504653: "GPFS",
	0x19830326: "BeeGFS", 0x01161970: "GFS2",
}

// network names the kind of network file system that a folder lies on, "" for none.
func network(dir string) string {
	var s unix.Statfs_t
	if unix.Statfs(dir, &s) != nil {
		return ""
	}
	return networks[uint32(s.Type)]
}
