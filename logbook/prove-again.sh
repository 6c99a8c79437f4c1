#!/bin/sh
# Proves the history of a book again with git and ssh-keygen alone. Run it in the top folder of a fresh clone:
#   sh prove-again.sh [COMMIT@SHA256:FINGERPRINT]
# The founding proof must come from outside the book: paper, the office, the class file. Exit status: 0 proven,
# 1 not proven, 3 could not do its work, 4 wrong root, 5 broken bytes.
proof=${1:-}
set -u
export GIT_NO_REPLACE_OBJECTS=1 GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1 TZ=UTC LC_ALL=C
end() { echo "$2"; exit "$1"; }
case $proof in *@SHA256:*) ;; *) end 3 "no founding proof: sh prove-again.sh COMMIT@SHA256:FINGERPRINT" ;; esac
founding=${proof%%@*} founder=${proof#*@}
d=$(mktemp -d) && g=$(git rev-parse --git-dir) || exit 3
trap 'rm -rf "$d"' EXIT
for cut in shallow info/grafts objects/info/alternates; do
	test ! -s "$g/$cut" || end 3 "the repository is no whole one of its own: $cut"
done
# Every text has the name that its bytes give it.
git fsck --full --strict --no-dangling > "$d/fsck" 2>&1 || { cat "$d/fsck"; end 5 "BROKEN"; }
git merge-base --is-ancestor "$founding" HEAD 2> "$d/err" || end 4 "the founding commit is not in the past of the tip"
# line KEY: the line of the register that holds the key with this fingerprint.
line() {
	while read -r who options kind key rest; do
		test "$(echo "$kind $key" | ssh-keygen -l -f - 2> /dev/null | cut -d' ' -f2)" != "$1" || echo "$who $options $kind $key"
	done < "$d/register"
}
bad= n=0
against() { bad=${bad:-$c}; echo "$c: $*"; }
git rev-list --reverse --topo-order --parents HEAD --not $(git log -1 --format=%P "$founding") > "$d/commits"
while read -r c parents; do
	n=$((n + 1))
	git show "$c:hands/signers" 2> /dev/null | sort > "$d/now"
	# What is in force for a commit: the lines that all its parents hold; for the founding one, its own.
	cp "$d/now" "$d/register"
	if test "$c" != "$founding"; then
		test -n "$parents" || { against "a second root"; continue; }
		first=yes changed=yes
		for p in $parents; do
			git show "$p:hands/signers" 2> /dev/null | sort > "$d/parent"
			cmp -s "$d/parent" "$d/now" && changed=no
			if test $first = yes; then cp "$d/parent" "$d/register"; else comm -12 "$d/register" "$d/parent" > "$d/both"; mv "$d/both" "$d/register"; fi
			first=no
		done
	fi
	test "$(git cat-file commit "$c" | sed '/^$/q' | grep -c '^gpgsig')" = 1 || { against "not one signature"; continue; }
	set -- $(git -c gpg.format=ssh -c gpg.ssh.allowedSignersFile="$d/register" log -1 --format='%G? %GF' "$c" 2> /dev/null)
	test "$1" = G || { against "no good signature by a key in force, git says $1"; continue; }
	if test "$c" = "$founding"; then
		test "$2" = "$founder" || end 4 "the founding commit is signed by $2"
	elif test ! -s "$d/now"; then
		against "the register is gone"
	elif test $changed = yes; then
		others=$(comm -3 "$d/register" "$d/now" | grep -v '^[[:space:]]*#' | grep -c -v 'namespaces="git,engineer@needlebook"')
		case $(line "$2") in
		*superintendent@needlebook*) ;;
		*chief@needlebook*) test "$others" = 0 || against "a chief changed lines of the register that make more than an engineer" ;;
		*) against "the register is not his to change" ;;
		esac
	fi
done < "$d/commits"
cat << 'SEE'
What this script cannot see: a key withdrawn on another branch, keys declared stolen, adoption of unsigned commits,
who may change which file beside the register, lines of a register that git takes and a book does not, odd names and
modes, records that a merge or a commit left out, and a history rewritten since it was last witnessed. needlebook
verify sees them. A merge by a hand who was let in on one side of it alone is refused here, and taken there.
SEE
test -z "$bad" || end 1 "NOT PROVEN since $bad, $n commits"
end 0 "PROVEN, $n commits"
