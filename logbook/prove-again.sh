#!/bin/sh
# Proves the history of a book again with git and ssh-keygen alone:
#   sh prove-again.sh [COMMIT@SHA256:FINGERPRINT [FOLDER]]
# FOLDER is the book, by default where you are. The founding proof must come from outside it: paper, the office, the class file.
# Exit status: 0 proven, 1 not proven, 3 could not do its work, 4 wrong root, 5 broken bytes.
proof=${1:-}
set -u
end() { echo "$2"; exit "$1"; }
case $proof in *@SHA256:*) ;; *) end 3 "no founding proof: sh prove-again.sh COMMIT@SHA256:FINGERPRINT" ;; esac
founding=${proof%%@*} founder=${proof#*@}
# (own-copy.sh)
copy "${2:-.}"
# Every text has the name that its bytes give it.
git fsck --full --strict --no-dangling > "$d/fsck" 2>&1 || { cat "$d/fsck"; end 5 "BROKEN"; }
git merge-base --is-ancestor "$founding" HEAD 2> "$d/err" || end 4 "the founding commit is not in the past of the tip"
# line KEY: the line of the register that holds the key with this fingerprint.
line() {
	while read -r who options kind key rest; do
		test "$(echo "$kind $key" | ssh-keygen -l -f - 2> /dev/null | cut -d' ' -f2)" != "$1" || echo "$who $options $kind $key"
	done < "$d/register"
}
# ended COMMIT: of the lines that it brings, those of known keys whose last minute is over when its day ends: they let nobody sign on.
ended() {
	comm -13 "$d/parents" "$d/now" | awk -v day="$(($(git log -1 --format=%ct "$1") / 86400))" '
		!new { known[$4] = 1; next }
		$4 in known && match($0, /valid-before="[0-9]+Z"/) {
			t = substr($0, RSTART + 14, RLENGTH - 16); y = substr(t, 1, 4) + 0; m = substr(t, 5, 2) + 0
			if (m < 3) { m += 12; y-- }
			n = 365 * y + int(y / 4) - int(y / 100) + int(y / 400) + int((153 * m - 457) / 5) + substr(t, 7, 2) - 719469
			if (n <= day || n == day + 1 && substr(t, 9) + 0 == 0) print
		}' "$d/known" new=1 -
}
# foreign LINE: of the changed lines those that are no further key of the one who holds LINE, letting him do no more than that.
foreign() {
	comm -3 "$d/common" "$d/now" | awk -v had="$1" '
		function last(l) { return match(l, /valid-before="[0-9]+Z"/) ? substr(substr(l, RSTART + 14, RLENGTH - 16) "0000", 1, 12) : "9" }
		function may(l) { return match(l, /namespaces="[^"]*"/) ? substr(l, RSTART, RLENGTH) : l }
		!new { known[$4] = 1; next }
		/^\t*#/ || !NF { next }
		/^\t/ && $1 == who && !($4 in known) && last($0) "" <= last(had) "" && (may($0) == may(had) || may($0) == engineer) { next }
		{ print }' "$d/known" new=1 who="${1%% *}" engineer='namespaces="git,engineer@needlebook"' -
}
bad= n=0
against() { bad=${bad:-$c}; echo "$c: $*"; }
: > "$d/known" && : > "$d/over"
git rev-list --reverse --topo-order --parents HEAD --not $(git log -1 --format=%P "$founding") > "$d/commits"
while read -r c parents; do
	n=$((n + 1))
	git cat-file blob "$c:signers/allowed_signers" 2> /dev/null | sort > "$d/now"
	# What is in force for a commit: the lines that all its parents hold and that have not ended; for the founding one, its own.
	cp "$d/now" "$d/register"
	if test "$c" != "$founding"; then
		test -n "$parents" || { against "a second root"; continue; }
		first=yes changed=yes
		for p in $parents; do
			git cat-file blob "$p:signers/allowed_signers" 2> /dev/null | sort > "$d/parent"
			cmp -s "$d/parent" "$d/now" && changed=no
			if test $first = yes; then
				cp "$d/parent" "$d/common" && cp "$d/parent" "$d/parents"
			else
				comm -12 "$d/common" "$d/parent" > "$d/both" && mv "$d/both" "$d/common"
				sort -u "$d/parents" "$d/parent" > "$d/both" && mv "$d/both" "$d/parents"
			fi
			first=no
		done
		comm -23 "$d/common" "$d/over" > "$d/register"
	fi
	test "$(git cat-file commit "$c" | sed '/^$/q' | grep -c '^gpgsig')" = 1 || { against "not one signature"; continue; }
	set -- $(git -c gpg.ssh.allowedSignersFile="$d/register" log -1 --format='%G? %GF' "$c" 2> /dev/null)
	test "$1" = G || { against "no good signature by a key in force, git says $1"; continue; }
	if test "$c" = "$founding"; then
		test "$2" = "$founder" || end 4 "the founding commit is signed by $2"
		cat "$d/now" >> "$d/known"
	elif test ! -s "$d/now"; then
		against "the register is gone"
	elif test $changed = yes; then
		his=$(line "$2") others=$(foreign "$(line "$2")")
		case $his in
		*superintendent@needlebook*) ;;
		*chief@needlebook*) test "$(echo "$others" | grep -c -v 'namespaces="git,engineer@needlebook"')" = 0 || test -z "$others" ||
			against "a chief changed lines of the register that make more than an engineer" ;;
		*) test -z "$others" && ! test -z "$(comm -13 "$d/parents" "$d/now")" || against "the register is not his to change" ;;
		esac
		ended "$c" | sort - "$d/over" > "$d/both" && mv "$d/both" "$d/over"
		cat "$d/now" >> "$d/known"
	fi
done < "$d/commits"
cat << 'SEE'
What this script cannot see: a key withdrawn on another branch, keys declared stolen, adoption of unsigned commits,
who may change which file beside the register, who counts as a second person, lines of a register that git takes and a
book does not, odd names and modes, records that a merge or a commit left out, and a history rewritten since it was last
witnessed. needlebook verify sees them. A merge by a hand who was let in on one side of it alone is refused here, and
taken there.
SEE
test -z "$bad" || end 1 "NOT PROVEN since $bad, $n commits"
end 0 "PROVEN, $n commits"
