# copy FOLDER: makes $own, a repository with the objects of the one in FOLDER, its tip as the only branch, and settings of its own.
# No program runs in FOLDER: what its settings, hooks, attributes and environment name is never asked. Of what it holds only the
# bytes of objects are taken; indexes, and what is said of objects beside them, are made anew from those.
copy() {
	for v in $(env | sed -n 's/^\(GIT_[A-Za-z0-9_]*\)=.*/\1/p'); do unset "$v"; done
	d=$(mktemp -d) || exit 3
	trap 'rm -rf "$d"' EXIT
	own=$d/copy.git
	export HOME="$d" XDG_CONFIG_HOME="$d" GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_SYSTEM=/dev/null GIT_CONFIG_NOSYSTEM=1 \
		GIT_ATTR_NOSYSTEM=1 GIT_NO_REPLACE_OBJECTS=1 GIT_NO_LAZY_FETCH=1 GIT_ALLOW_PROTOCOL=none GIT_PAGER=cat TZ=UTC LC_ALL=C
	from=$(cd "$1" && pwd) || exit 3
	echo "# reads a copy in $d; no program runs in $from, whatever it names"
	test ! -e "$from/.git" || from=$from/.git
	test -d "$from/objects" && test -f "$from/HEAD" || end 3 "no repository of its own lies in $from"
	for cut in shallow info/grafts objects/info/alternates objects/info/http-alternates; do
		test ! -s "$from/$cut" || end 3 "the repository is no whole one of its own: $cut"
	done
	read -r tip < "$from/HEAD"
	case $tip in
	"ref: "*)
		branch=${tip#ref: } tip=
		if test -f "$from/$branch"; then read -r tip < "$from/$branch"
		elif test -f "$from/packed-refs"; then
			while read -r id name; do test "$name" != "$branch" || tip=$id; done < "$from/packed-refs"
		fi
		;;
	esac
	case $tip in *[!0-9a-f]* | "") end 5 "BROKEN: the branch holds no commit" ;; esac
	cd "$d" && command git init -q --bare --template= "$own" 2> "$d/err" || exit 3
	for part in "$from"/objects/[0-9a-f][0-9a-f]; do
		test ! -d "$part" || cp -R -P "$part" "$own/objects/" || exit 3
	done
	for pack in "$from"/objects/pack/pack-*.pack; do
		test -f "$pack" && test -f "${pack%.pack}.idx" || continue
		cp "$pack" "$own/objects/pack/" || exit 3
		command git --git-dir="$own" index-pack "$own/objects/pack/${pack##*/}" > "$d/err" 2>&1 || { cat "$d/err"; end 5 "BROKEN"; }
	done
	test -z "$(find "$own/objects" ! -type f ! -type d)" || end 3 "the repository holds links where objects belong"
	echo "$tip" > "$own/refs/heads/book" && echo "ref: refs/heads/book" > "$own/HEAD" || exit 3
}
# git asks the copy, and no other repository.
git() {
	command git --git-dir="$own" -c gpg.format=ssh -c gpg.ssh.program=ssh-keygen -c core.commitGraph=false -c core.hooksPath=/dev/null "$@"
}
