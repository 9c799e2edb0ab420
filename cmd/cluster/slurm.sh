#!/bin/sh
#SBATCH --job-name=stopledger
#SBATCH --cpus-per-task=1
#SBATCH --mem=4G
#SBATCH --requeue
#SBATCH --open-mode=append
#SBATCH --signal=B:TERM@60
#
# Audits clips in parts on a cluster with Slurm, and makes one report of the parts:
#
#   slurm.sh submit PARTS OUT PATH... [FLAG...]   the audit as a job array, and the merge after it
#   slurm.sh part PARTS OUT PATH... [FLAG...]     one task of the array
#   slurm.sh merge PARTS OUT                      one report of the parts, in OUT
#
# PATH and FLAG are as for stopledger audit. Every node must see the clips and OUT under the same
# names. Parts and logs are in OUT.parts. Set STOPLEDGER to the program if it is not in PATH, and
# sbatch's own variables (SBATCH_PARTITION, SBATCH_TIMELIMIT ...) for what your cluster asks for.
#
# A part that was killed, or ended early for any other reason, goes on where it was:
#
#   scontrol requeue ARRAY_K      by the array's id and the part's number, never by SLURM_JOB_ID
#
# The merge runs when all parts have ended, however they did. Where one is missing its report says
# complete: false, and it exits with 3; requeue it too once the part is there.
set -eu

stopledger=${STOPLEDGER:-stopledger}

usage() {
	sed -n 's/^# \{0,1\}//; 10,24p' "$0" >&2
	exit 2
}

# submit hands the array and the merge to Slurm. Slurm runs copies of this file.
submit() {
	parts=$1 out=$2
	mkdir -p "$out.parts"
	log=$(printf %s "$out.parts" | sed 's/%/%%/g') # Slurm reads % in names of logs as a pattern
	array=$(sbatch --parsable --array="1-$parts" --output="$log/%a.log" "$0" part "$@")
	array=${array%%;*} # after it, the cluster's name
	merge=$(sbatch --parsable --dependency="afterany:$array" --output="$log/merge.log" "$0" merge "$parts" "$out")
	echo "$array ${merge%%;*}"
	echo "parts 1 to $parts are job $array, the merge is job ${merge%%;*}; logs are in $out.parts" >&2
}

# part audits one shard. The program takes this shell's place, so that Slurm's signals reach it: it
# then ends in order, and goes on when the task is requeued.
part() {
	parts=$1 out=$2 k=$SLURM_ARRAY_TASK_ID
	shift 2
	exec "$stopledger" audit --quiet --jobs "${SLURM_CPUS_PER_TASK:-1}" --shard "$k/$parts" \
		--out "$out.parts/$k" "$@"
}

# merge names all parts, there or not, so that those missing are told.
merge() {
	parts=$1 out=$2 k=1
	set --
	while [ "$k" -le "$parts" ]; do
		set -- "$@" "$out.parts/$k"
		k=$((k + 1))
	done
	exec "$stopledger" merge --quiet --out "$out" "$@"
}

[ $# -ge 3 ] || usage
case $1 in
submit | part) [ $# -ge 4 ] || usage ;;
merge) ;;
*) usage ;;
esac
case $2 in
'' | *[!0-9]* | 0*) usage ;;
esac
role=$1
shift
"$role" "$@"
