package invent

// words are what a person writes in its own language.
type words struct {
	remark, second      string // free text below a record
	oil                 string // comment behind the oil temperature
	broken              string // why something was not looked at
	within, life        string // why a nozzle goes back, or was renewed by its hours
	worn, seat          string // renewed for a worn guide; lapped for a weeping seat
	spray, spring, lift string
	face                string // of the holder, lapped
}

// phrases are those of the languages met aboard, accents and scripts as they are written.
var phrases = []words{
	{"Nothing out of the ordinary.", "Tested twice, the same both times.", "thermometer in the oil", "lens broken",
		"all within", "hours up, renewed", "guide worn, falls too fast", "seat wept, lapped once",
		"two holes cleared with the needle", "spring too short", "lift near its limit", "joint face near its limit, lapped"},
	{"Alles in Ordnung, Düse läuft frei.", "Zweimal geprüft, beide Male gleich.", "Thermometer im Öl", "Lupe zerbrochen",
		"alles im Maß", "Stunden erreicht, erneuert", "Führung verschlissen, fällt zu schnell", "Sitz feucht, einmal geläppt",
		"zwei Löcher frei gemacht", "Feder zu kurz", "Hub nahe der Grenze", "Dichtfläche nahe der Grenze, geläppt"},
	{"Rien à signaler, l'aiguille coulisse bien.", "Essayé deux fois, même résultat.", "thermomètre dans l'huile",
		"loupe cassée", "tout dans les limites", "heures atteintes, remplacé", "guide usé, chute trop rapide",
		"siège suintant, rodé une fois", "deux trous débouchés", "ressort trop court", "levée proche de la limite",
		"face d'appui proche de la limite, rodée"},
	{"Wszystko w porządku, iglica chodzi lekko.", "Sprawdzono dwa razy, wynik ten sam.", "termometr w oleju",
		"lupa pęknięta", "wszystko w granicach", "godziny wyczerpane, wymiana", "prowadzenie zużyte, spada za szybko",
		"gniazdo mokre, raz docierane", "dwa otwory przetkane", "sprężyna za krótka", "skok blisko granicy",
		"powierzchnia uszczelniająca blisko granicy, docierana"},
	{"Tudo em ordem, agulha corre livre.", "Testado duas vezes, igual.", "termómetro no óleo", "lupa partida",
		"tudo dentro dos limites", "horas esgotadas, substituído", "guia gasta, cai depressa demais",
		"sede húmida, esmerilada uma vez", "dois furos desobstruídos", "mola curta demais", "curso perto do limite",
		"face de junta perto do limite, esmerilada"},
	{"Her şey yolunda, iğne serbest düşüyor.", "İki kez denendi, aynı sonuç.", "yağın içinde termometre", "büyüteç kırık",
		"hepsi sınırlar içinde", "saati doldu, yenilendi", "kılavuz aşınmış, çok çabuk düşüyor",
		"oturma yüzeyi terledi, bir kez alıştırıldı", "iki delik açıldı", "yay çok kısa", "strok sınıra yakın",
		"alın yüzeyi sınıra yakın, alıştırıldı"},
	{"Όλα εντάξει, η βελόνα κινείται ελεύθερα.", "Δοκιμάστηκε δύο φορές, το ίδιο.", "θερμόμετρο στο λάδι",
		"σπασμένος φακός", "όλα μέσα στα όρια", "συμπλήρωσε τις ώρες, αντικατάσταση", "φθαρμένος οδηγός, πέφτει γρήγορα",
		"η έδρα ίδρωνε, τρίψιμο μία φορά", "καθαρίστηκαν δύο τρύπες", "κοντό ελατήριο", "διαδρομή κοντά στο όριο",
		"η όψη κοντά στο όριο, τρίψιμο"},
	{"Всё в порядке, игла ходит свободно.", "Проверено дважды, то же самое.", "термометр в масле", "лупа разбита",
		"всё в пределах", "часы вышли, заменён", "направляющая изношена, падает быстро", "седло потело, притёрто один раз",
		"прочищены два отверстия", "пружина коротка", "ход близок к пределу", "торец близок к пределу, притёрт"},
	{"一切正常，针阀活动自如。", "测试两次，结果相同。", "油中温度计", "放大镜坏了", "全部合格", "时数已到，已更换", "导向磨损，下降太快", "座面渗油，研磨一次", "两个孔已通开", "弹簧太短",
		"行程接近极限", "接合面接近极限，已研磨"},
	{"異常なし。ニードルは滑らか。", "二回試験、同じ結果。", "油中の温度計", "ルーペ破損", "すべて範囲内", "時間満了、交換", "案内部摩耗、降下が速い", "シート滲み、一回ラップ", "二つの穴を貫通",
		"ばねが短い", "リフトが限度に近い", "合わせ面が限度に近い、ラップ"},
	{"كل شيء على ما يرام، الإبرة تتحرك بحرية.", "اختبر مرتين بالنتيجة نفسها.", "ميزان حرارة في الزيت", "العدسة مكسورة",
		"الكل ضمن الحدود", "انتهت الساعات وتم التبديل", "الدليل متآكل والهبوط سريع", "المقعد رطب وصقل مرة", "فتح ثقبان",
		"النابض قصير", "الشوط قريب من الحد", "السطح قريب من الحد وتم صقله"},
	{"Ayos lahat, malayang gumagalaw ang karayom.", "Dalawang beses sinubok, pareho.", "termometro sa langis",
		"basag ang lente", "lahat pasok sa limitasyon", "ubos na ang oras, pinalitan", "sira ang gabay, mabilis bumaba",
		"basa ang upuan, nilapping nang isa", "nilinis ang dalawang butas", "maikli ang spring",
		"malapit na sa limitasyon ang lift", "malapit na sa limitasyon ang mukha, nilapping"},
	{"Mọi thứ ổn, kim phun chạy trơn.", "Thử hai lần, như nhau.", "nhiệt kế trong dầu", "kính lúp vỡ",
		"tất cả trong giới hạn", "hết giờ, thay mới", "dẫn hướng mòn, tụt quá nhanh", "đế ướt, mài một lần", "thông hai lỗ",
		"lò xo ngắn", "hành trình gần giới hạn", "mặt ghép gần giới hạn, đã mài"},
	{"सब ठीक, सुई आसानी से चलती है।", "दो बार जाँचा, वही परिणाम।", "तेल में थर्मामीटर", "लेंस टूटा", "सब सीमा में",
		"घंटे पूरे, बदला गया", "गाइड घिसा, जल्दी गिरता है", "सीट नम, एक बार लैप किया", "दो छेद साफ किए", "स्प्रिंग छोटा",
		"स्ट्रोक सीमा के पास", "जोड़ की सतह सीमा के पास, लैप की"},
}
